"""One search box: lots, parts, orders, customers, heats, receipts."""

from dataclasses import dataclass, field

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeError, ScanCode, parse_code
from app.lots.models import Lot
from app.material.models import Issue, Receipt
from app.orders.models import Customer, CustomerOrder
from app.parts.models import Part, Revision
from app.shared.paging import contains

MOST_OF_A_KIND = 20
SHORTEST = 2


@dataclass(slots=True)
class Found:
    """What a search found, a list a kind."""

    lots: list[Lot] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    orders: list[CustomerOrder] = field(default_factory=list)
    customers: list[Customer] = field(default_factory=list)
    heats: list[tuple[Receipt, list[Lot]]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.lots) + len(self.parts) + len(self.orders) + len(self.customers) + len(self.heats)


def scanned(text: str) -> ScanCode | None:
    """Return the code that was typed or scanned, or None for other words."""
    try:
        return parse_code(text)
    except CodeError:
        return None


def search(session: orm.Session, text: str) -> Found:
    """Find what has ``text`` in its number or name; at most ``MOST_OF_A_KIND`` of each kind, best first."""
    text = text.strip()
    if len(text) < SHORTEST:
        return Found()
    return Found(
        lots=_lots(session, text),
        parts=_parts(session, text),
        orders=_orders(session, text),
        customers=_customers(session, text),
        heats=_heats(session, text),
    )


def _lots(session: orm.Session, text: str) -> list[Lot]:
    digits = text.lstrip("Ll")
    is_number = sa.cast(Lot.number, sa.Text) == digits.lstrip("0") if digits.isdigit() else sa.false()
    chosen = (
        sa.select(Lot)
        .join(Lot.revision)
        .join(Revision.part)
        .where(sa.or_(contains(Part.number, text), is_number))
        .options(orm.contains_eager(Lot.revision).contains_eager(Revision.part), orm.selectinload(Lot.operations))
        .order_by(Lot.closed_at.is_not(None), Lot.number.desc())
        .limit(MOST_OF_A_KIND)
    )
    return list(session.scalars(chosen))


def _parts(session: orm.Session, text: str) -> list[Part]:
    chosen = sa.select(Part).where(sa.or_(contains(Part.number, text), contains(Part.name, text)))
    return list(session.scalars(chosen.order_by(Part.number).limit(MOST_OF_A_KIND)))


def _orders(session: orm.Session, text: str) -> list[CustomerOrder]:
    chosen = (
        sa.select(CustomerOrder)
        .where(contains(CustomerOrder.their_number, text))
        .options(orm.joinedload(CustomerOrder.customer))
        .order_by(CustomerOrder.received_on.desc(), CustomerOrder.id.desc())
        .limit(MOST_OF_A_KIND)
    )
    return list(session.scalars(chosen))


def _customers(session: orm.Session, text: str) -> list[Customer]:
    chosen = sa.select(Customer).where(contains(Customer.name, text)).order_by(Customer.name)
    return list(session.scalars(chosen.limit(MOST_OF_A_KIND)))


def _heats(session: orm.Session, text: str) -> list[tuple[Receipt, list[Lot]]]:
    chosen = sa.select(Receipt).where(contains(Receipt.heat, text)).order_by(Receipt.received_on.desc(), Receipt.id)
    receipts = list(session.scalars(chosen.limit(MOST_OF_A_KIND)))
    rows = session.execute(
        sa.select(Issue.receipt_id, Lot)
        .join(Lot, Issue.lot_id == Lot.id)
        .where(Issue.receipt_id.in_([receipt.id for receipt in receipts]))
        .group_by(Issue.receipt_id, Lot.id)
        .having(sa.func.sum(Issue.pieces) > 0)
        .order_by(Lot.number)
    )
    lots: dict[int, list[Lot]] = {}
    for receipt_id, lot in rows:
        lots.setdefault(receipt_id, []).append(lot)
    return [(receipt, lots.get(receipt.id, [])) for receipt in receipts]
