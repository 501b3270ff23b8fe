"""A question about the past, and what the statements that answer it share."""

from dataclasses import dataclass
from typing import Any, TypeAlias

import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code
from app.parts.models import Part, Revision
from app.trace.queries.subjects import Subject
from app.trace.queries.walking import Days, Traced

Chosen: TypeAlias = sa.Select[*tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: from where, in which days, and the lots that it led to."""

    subject: Subject
    days: Days
    traced: Traced

    @property
    def made(self) -> frozenset[int]:
        """Return the lots whose making answers it."""
        return self.traced.made(self.subject.kind)


def lot_code(number: int) -> str:
    """Return the name of a lot by its number."""
    return format_code(CodeKind.LOT, number)


def part_words(row: Any) -> str:
    """Return the part and revision of a row that has ``PART``."""
    return f"{row.part} {row.label}"


PART = (Part.number.label("part"), Revision.label)


def newest_first(chosen: Chosen, key: Any, after: int | None, most: int | None) -> Chosen:
    """Order by a row's number, newest first, and go on behind ``after``."""
    return (chosen if after is None else chosen.where(key < after)).order_by(key.desc()).limit(most)


def newest_in_time(chosen: Chosen, when: Any, key: Any, after: int | None, most: int | None) -> Chosen:
    """Order by time, newest first, and go on behind the row ``after``."""
    if after is not None:
        then = sa.select(when).where(key == after).correlate(None).scalar_subquery()
        chosen = chosen.where(sa.or_(when < then, sa.and_(when == then, key < after)))
    return chosen.order_by(when.desc(), key.desc()).limit(most)
