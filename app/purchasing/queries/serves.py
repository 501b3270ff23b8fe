"""Which lots a purchase was made for, and which lots a receipt's pieces went to."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material.models import Issue, MaterialOrderLine
from app.material.queries import get_receipt
from app.parts.models import Revision
from app.purchasing.models import Purpose


@dataclass(frozen=True, slots=True)
class Served:
    """So many pieces of an item for one lot, or that it holds of it."""

    lot: Lot
    item: str
    pieces: int


def served_by_order(session: orm.Session, order_id: int) -> list[Served]:
    """Return the lots that a purchase was made for, soonest due first; one statement."""
    rows = session.execute(
        sa.select(Lot, MaterialOrderLine, Purpose.pieces)
        .join(Purpose, Purpose.lot_id == Lot.id)
        .join(MaterialOrderLine, Purpose.line_id == MaterialOrderLine.id)
        .where(MaterialOrderLine.order_id == order_id)
        .options(
            orm.joinedload(MaterialOrderLine.revision).joinedload(Revision.part), orm.joinedload(MaterialOrderLine.part)
        )
    )
    return _in_order(Served(lot, line.item, pieces) for lot, line, pieces in rows)


def served_by_receipt(session: orm.Session, receipt_id: int) -> list[Served]:
    """Return the lots that hold pieces of a receipt, net of what was taken back, soonest due first; two statements.

    Raises:
        ReceiptNotFoundError: there is no such receipt.
    """
    item = get_receipt(session, receipt_id).item
    rows = session.execute(
        sa.select(Lot, sa.func.sum(Issue.pieces))
        .join(Issue, Issue.lot_id == Lot.id)
        .where(Issue.receipt_id == receipt_id)
        .group_by(Lot.id)
        .having(sa.func.sum(Issue.pieces) > 0)
    )
    return _in_order(Served(lot, item, int(pieces)) for lot, pieces in rows)


def _in_order(found: Iterable[Served]) -> list[Served]:
    return sorted(found, key=lambda each: (each.lot.due_on is None, each.lot.due_on, each.lot.number, each.item))
