"""The root of all errors whose sentence is fit for a person."""


class PlainError(Exception):
    """An error that says in one plain sentence what is wrong and how to mend it.

    A view puts the sentence beside a field or on a page; a command prints it and exits with code 2.
    """


class NotFoundError(PlainError):
    """What was asked for does not exist; pages answer it with status 404."""
