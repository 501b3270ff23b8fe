"""Where the components of an operation can come from: finished pieces of our lots, and receipts."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, format_code
from app.floor.queries.jobs import ComponentNeed
from app.lots.models import Lot
from app.lots.queries.names import lot_name
from app.material.models import Receipt
from app.parts.models import Revision


@dataclass(frozen=True, slots=True)
class ComponentSupply:
    """A lot or receipt that has pieces of a component at hand."""

    code: str
    need: ComponentNeed
    pieces: int
    heat: str


def supplies_of(session: orm.Session, needs: Iterable[ComponentNeed]) -> list[ComponentSupply]:
    """Return what is at hand of some components, the oldest first; two statements."""
    by_part = {need.part_id: need for need in needs}
    lots = session.execute(
        sa.select(Lot, Revision.part_id)
        .join(Lot.revision)
        .where(Revision.part_id.in_(by_part), Lot.in_stock > 0, Lot.hold_reason == "")
        .order_by(Lot.number)
    )
    receipts = session.scalars(
        sa.select(Receipt)
        .where(Receipt.part_id.in_(by_part), Receipt.pieces > Receipt.issued)
        .order_by(Receipt.received_on, Receipt.number)
    ).all()
    return [
        *(ComponentSupply(lot_name(lot), by_part[part_id], lot.in_stock, "") for lot, part_id in lots),
        *(
            ComponentSupply(
                format_code(CodeKind.RECEIPT, each.number), by_part[each.part_id or 0], each.at_hand, each.heat
            )
            for each in receipts
        ),
    ]
