"""A page of a long list, and the search that makes it shorter."""

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import sqlalchemy as sa
from sqlalchemy import orm

PAGE_ROWS = 50
Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class Page(Generic[Row]):
    """Some rows of a list; ``number`` counts from 1, ``pages`` is at least 1, ``total`` counts all rows."""

    rows: list[Row]
    number: int
    pages: int
    total: int


def paged(session: orm.Session, chosen: sa.Select[Row], number: int) -> Page[Row]:
    """Return page ``number`` of the entities that ``chosen`` finds, or the last page where there are fewer.

    Two statements, and one for each eager ``selectinload`` of ``chosen``. Joins of ``chosen`` must not repeat a row.
    """
    count = chosen.with_only_columns(sa.func.count(), maintain_column_froms=True).order_by(None)
    total = session.execute(count).scalar_one()
    pages = max(1, -(-total // PAGE_ROWS))
    number = min(max(1, number), pages)
    rows = session.scalars(chosen.limit(PAGE_ROWS).offset((number - 1) * PAGE_ROWS)).all()
    return Page(list(rows), number, pages, total)


def contains(column: orm.InstrumentedAttribute[Any], text: str) -> sa.ColumnElement[bool]:
    """Say that ``column`` has ``text`` somewhere in it, small and capital letters alike."""
    return column.icontains(text, autoescape=True)
