"""Drawings and set-up sheets of operations, as pictures that any tablet shows."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import LotOperation
from app.parts.models import OperationFile, StoredFile


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One picture of a sheet; width and height in pixels."""

    number: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing or set-up sheet."""

    title: str
    file_id: int
    pages: tuple[SheetPage, ...]


def sheets_of(session: orm.Session, operations: Iterable[LotOperation]) -> dict[int, list[Sheet]]:
    """Return the sheets of each operation, by the operation of the routing that they hang at; two statements."""
    wanted = {each.routing_operation_id for each in operations} - {None}
    rows = session.scalars(
        sa.select(OperationFile)
        .where(OperationFile.routing_operation_id.in_(wanted))
        .order_by(OperationFile.position, OperationFile.id)
        .options(orm.joinedload(OperationFile.file).selectinload(StoredFile.pages))
    )
    found: dict[int, list[Sheet]] = {}
    for row in rows:
        pages = tuple(SheetPage(page.number, page.width, page.height) for page in row.file.pages)
        found.setdefault(row.routing_operation_id, []).append(Sheet(row.title, row.file_id, pages))
    return found
