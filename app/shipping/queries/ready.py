"""What is ready to ship: open deliveries that finished pieces in stock can serve, and a proposal who gets what.

Pieces go to the deliveries their lot was made for first, soonest first; what nothing else waits for may fill any open
delivery of the same revision. Lots on hold are shown and never proposed.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.orders.models import Customer, Delivery, OrderLine
from app.shipping.queries.cargo import deliveries_loaded, lots_loaded

EARLY = timedelta(days=7)
"""Deliveries that leave later than this are shown, but nothing is proposed for them: a customer may refuse it early."""


@dataclass(slots=True)
class Candidate:
    """A lot with finished pieces that can serve a delivery.

    Attributes:
        lot: with its part and shares loaded.
        meant: pieces of it that are meant for the delivery and have not left.
        reserved: pieces that the sharing gives to the delivery.
    """

    lot: Lot
    meant: int
    reserved: int = 0


@dataclass(slots=True)
class ReadyDelivery:
    """An open delivery with the lots that can serve it, those made for it first."""

    delivery: Delivery
    candidates: list[Candidate]
    early: bool

    @property
    def missing(self) -> int:
        """Return how many pieces have still to leave."""
        return max(0, self.delivery.quantity - self.delivery.shipped)

    @property
    def reserved(self) -> int:
        """Return how many of them can leave now."""
        return sum(candidate.reserved for candidate in self.candidates)


@dataclass(slots=True)
class ReadyCustomer:
    """A customer with the deliveries that can leave, soonest first."""

    customer: Customer
    deliveries: list[ReadyDelivery] = field(default_factory=list)


def ready_to_ship(session: orm.Session, today: date) -> list[ReadyCustomer]:
    """Return customers with open deliveries that finished pieces in stock can serve, soonest leaving day first.

    Three statements. A delivery that only held lots, or lots reserved for others, could serve is there with nothing
    reserved.
    """
    open_revisions = sa.select(OrderLine.revision_id).join(OrderLine.deliveries).where(Delivery.closed_at.is_(None))
    stock = sa.and_(Lot.in_stock > 0, Lot.revision_id.in_(open_revisions))
    lots = session.scalars(lots_loaded().where(stock).order_by(Lot.number)).all()
    revisions = {lot.revision_id for lot in lots}
    deliveries = session.scalars(
        deliveries_loaded()
        .join(Delivery.line)
        .where(Delivery.closed_at.is_(None), OrderLine.revision_id.in_(revisions))
        .order_by(Delivery.id)
    ).all()
    ready = shared_out(deliveries, lots, today)
    by_customer: dict[int, ReadyCustomer] = {}
    for each in ready:
        customer = each.delivery.line.order.customer
        by_customer.setdefault(customer.id, ReadyCustomer(customer)).deliveries.append(each)
    return list(by_customer.values())


def ready_for(session: orm.Session, customer_id: int, today: date) -> list[ReadyDelivery]:
    """Return the deliveries of one customer that can leave; what others wait for is not reserved for this one."""
    return next((each.deliveries for each in ready_to_ship(session, today) if each.customer.id == customer_id), [])


def shared_out(deliveries: Iterable[Delivery], lots: Sequence[Lot], today: date) -> list[ReadyDelivery]:
    """Share the finished pieces of ``lots`` among open ``deliveries``; see the module for the rule."""
    by_revision: defaultdict[int, list[Lot]] = defaultdict(list)
    for lot in lots:
        by_revision[lot.revision_id].append(lot)
    in_order = sorted(deliveries, key=lambda each: (each.leave_day, each.id))
    found = (_with_candidates(each, by_revision[each.line.revision_id], today) for each in in_order)
    ready = [each for each in found if each.candidates]
    left = {lot.id: 0 if lot.on_hold else lot.in_stock for lot in lots}
    for each in ready:
        for candidate in each.candidates:
            _reserve(each, candidate, left, candidate.meant)
    for each in ready:
        for candidate in each.candidates:
            _reserve(each, candidate, left, each.missing)
    return ready


def _with_candidates(delivery: Delivery, lots: list[Lot], today: date) -> ReadyDelivery:
    candidates = [Candidate(lot, _meant(lot, delivery)) for lot in lots]
    candidates.sort(key=lambda each: (not each.meant, each.lot.number))
    return ReadyDelivery(delivery, candidates, early=delivery.leave_day > today + EARLY)


def _meant(lot: Lot, delivery: Delivery) -> int:
    return sum(share.quantity - share.shipped for share in lot.deliveries if share.delivery_id == delivery.id)


def _reserve(ready: ReadyDelivery, candidate: Candidate, left: dict[int, int], most: int) -> None:
    pieces = min(left[candidate.lot.id], most, ready.missing - ready.reserved)
    left[candidate.lot.id] -= pieces
    candidate.reserved += pieces
