"""Drawings and set-up sheets of a lot's operations, as they were frozen at its release."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import LotOperation, LotSheet
from app.parts.models import StoredFile


def sheets_of(session: orm.Session, operations: Iterable[LotOperation]) -> dict[int, list[LotSheet]]:
    """Return the sheets of each operation by its id, with their pages; two statements."""
    rows = session.scalars(
        sa.select(LotSheet)
        .where(LotSheet.operation_id.in_({each.id for each in operations}))
        .order_by(LotSheet.position, LotSheet.id)
        .options(orm.joinedload(LotSheet.file).selectinload(StoredFile.pages))
    )
    found: dict[int, list[LotSheet]] = {}
    for row in rows:
        found.setdefault(row.operation_id, []).append(row)
    return found
