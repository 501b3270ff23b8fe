"""Reads of the past: from one thing forward and back through every link."""

from app.trace.queries.certificates import Certificate, Reservation, certificate
from app.trace.queries.first_articles import (
    Accounted,
    FirstArticle,
    MadeTo,
    first_article,
    first_article_lines,
    lots_made_to,
)
from app.trace.queries.lines import HEADINGS, Line
from app.trace.queries.subjects import Kind, Subject, day_key, find_subjects, get_subject
from app.trace.queries.tracing import SHOWN, Section, Trace, export_lines, section_titles, trace
from app.trace.queries.walking import MOST_LOTS, Days, Traced, days_between, walk

__all__ = [
    "HEADINGS",
    "MOST_LOTS",
    "SHOWN",
    "Accounted",
    "Certificate",
    "Days",
    "FirstArticle",
    "Kind",
    "Line",
    "MadeTo",
    "Reservation",
    "Section",
    "Subject",
    "Trace",
    "Traced",
    "certificate",
    "day_key",
    "days_between",
    "export_lines",
    "find_subjects",
    "first_article",
    "first_article_lines",
    "get_subject",
    "lots_made_to",
    "section_titles",
    "trace",
    "walk",
]
