"""Reads of the past: from one thing forward and back through every link."""

from app.trace.queries.lines import HEADINGS, Line
from app.trace.queries.subjects import Kind, Subject, day_key, find_subjects, get_subject
from app.trace.queries.tracing import SHOWN, Section, Trace, export_lines, section_titles, trace
from app.trace.queries.walking import MOST_LOTS, Days, Traced, days_between, walk

__all__ = [
    "HEADINGS",
    "MOST_LOTS",
    "SHOWN",
    "Days",
    "Kind",
    "Line",
    "Section",
    "Subject",
    "Trace",
    "Traced",
    "day_key",
    "days_between",
    "export_lines",
    "find_subjects",
    "get_subject",
    "section_titles",
    "trace",
    "walk",
]
