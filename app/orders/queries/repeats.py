"""What an order or a part was last sold as, for ordering it again."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.models import CustomerOrder, OrderLine
from app.orders.queries.orders import get_line, get_order
from app.parts.models import Part, Revision


@dataclass(frozen=True, slots=True)
class RepeatedLine:
    """A line to order again. ``sold_as`` is the revision it was last sold as, empty where it was never sold."""

    part: str
    price: Decimal | None
    quantities: tuple[int | None, ...]
    sold_as: str
    current: str

    @property
    def revision_changed(self) -> bool:
        """Say whether another revision is current now."""
        return bool(self.sold_as) and self.sold_as != self.current


@dataclass(frozen=True, slots=True)
class Repeat:
    """What is ordered again, from whom."""

    customer: str
    lines: tuple[RepeatedLine, ...]


def repeat_of_order(session: orm.Session, order_id: int) -> Repeat:
    """Return all lines of an order, to order them again.

    Raises:
        OrderNotFoundError: there is no such order.
    """
    order = get_order(session, order_id)
    current = _current_labels(session, (line.revision.part_id for line in order.lines))
    return Repeat(order.customer.name, tuple(_line(line, current) for line in order.lines))


def repeat_of_part(session: orm.Session, part_id: int) -> Repeat | None:
    """Return a part as it was last sold, to order it again; one that was never sold comes without a customer.

    None where there is no such part.
    """
    part = session.get(Part, part_id)
    if part is None:
        return None
    current = _current_labels(session, [part_id])
    newest = session.scalars(
        sa.select(OrderLine.id)
        .join(OrderLine.revision)
        .join(OrderLine.order)
        .where(Revision.part_id == part_id)
        .order_by(CustomerOrder.received_on.desc(), OrderLine.id.desc())
        .limit(1)
    ).first()
    if newest is None:
        return Repeat("", (RepeatedLine(part.number, None, (None,), "", current.get(part_id, "")),))
    line = get_line(session, newest)
    return Repeat(line.order.customer.name, (_line(line, current),))


def _line(line: OrderLine, current: dict[int, str]) -> RepeatedLine:
    part = line.revision.part
    quantities = tuple(delivery.quantity for delivery in line.deliveries)
    return RepeatedLine(part.number, line.price, quantities, line.revision.label, current.get(part.id, ""))


def _current_labels(session: orm.Session, part_ids: Iterable[int]) -> dict[int, str]:
    current = session.scalars(sa.select(Revision).where(Revision.part_id.in_(set(part_ids)), Revision.current))
    return {revision.part_id: revision.label for revision in current}
