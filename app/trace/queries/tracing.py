"""The whole answer: every list of a trace, for the page and for the file."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import orm

from app.shared.words import gettext
from app.trace.queries.asking import Question
from app.trace.queries.lines import Line, cells, headings
from app.trace.queries.sections import READERS
from app.trace.queries.subjects import Kind, Subject
from app.trace.queries.walking import Days, Traced, walk

SHOWN = 50
"""So many rows of each list are on a page; the file has all."""
WITHOUT_WORK = {Kind.GAUGE}
"""What was worked on is no answer to these."""


@dataclass(frozen=True, slots=True)
class Section:
    """One list of a trace; ``after`` is the row that the next page goes on behind, None on the last."""

    name: str
    title: str
    columns: tuple[str, ...]
    lines: list[Line]
    after: int | None


@dataclass(frozen=True, slots=True)
class Trace:
    """The answer to a question about the past."""

    subject: Subject
    days: Days
    traced: Traced
    sections: list[Section]


def section_titles() -> dict[str, str]:
    """Return the lists of a trace by name, as pages call them."""
    return {
        "lots": gettext("Lots"),
        "receipts": gettext("Material and bought components that went in"),
        "links": gettext("From lot to lot: splits, joins, components, returns"),
        "shipments": gettext("Where it went"),
        "readings": gettext("What was measured"),
        "nonconformances": gettext("Out of tolerance, and what was decided"),
        "work": gettext("Who worked on it where"),
    }


def trace(session: orm.Session, subject: Subject, days: Days, only: str = "", after: int | None = None) -> Trace:
    """Return every list of a trace, or the ``only`` one that is asked for behind its row ``after``.

    One statement to find the lots and one for each list, whatever the number of rows.

    Raises:
        TooManyLotsError: it leads to more lots than one page answers.
    """
    asked = Question(subject, days, walk(session, subject, days))
    names = [name for name in _lists(subject) if only in {"", name}]
    return Trace(subject, days, asked.traced, [_section(session, asked, name, after) for name in names])


def _lists(subject: Subject) -> list[str]:
    return [name for name in READERS if name != "work" or subject.kind not in WITHOUT_WORK]


def _section(session: orm.Session, asked: Question, name: str, after: int | None) -> Section:
    reader = READERS[name]
    lines = list(reader.read(session, asked, after, SHOWN + 1))
    shown = lines[:SHOWN]
    if len(lines) > SHOWN:
        # Lines of one row stay together: those of the row that the page would cut go to the next.
        shown = [each for each in shown if each.key != lines[SHOWN].key] or shown
    more = len(lines) > len(shown)
    return Section(name, section_titles()[name], reader.columns, shown, shown[-1].key if more else None)


def export_lines(session: orm.Session, subject: Subject, days: Days) -> tuple[list[str], Iterator[list[str]]]:
    """Return the headings and lines of the file that holds a whole trace.

    Raises:
        TooManyLotsError: it leads to more lots than one file answers.
    """
    asked = Question(subject, days, walk(session, subject, days))
    titles = section_titles()
    lines = (
        cells(titles[name], line) for name in _lists(subject) for line in READERS[name].read(session, asked, None, None)
    )
    return headings(), lines
