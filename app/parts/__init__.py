"""Parts, revisions, blanks and routings."""
