"""Reads of shipments: the list, one shipment, and what its slip says."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.lots.queries import lot_number
from app.material.queries import issued_to_lots
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.parts.models import Part, Revision
from app.shared.paging import Page, contains, paged
from app.shipping.errors import ShipmentNotFoundError
from app.shipping.models import Shipment, ShipmentLine


def _loaded() -> sa.Select[Shipment]:
    return sa.select(Shipment).options(
        orm.joinedload(Shipment.customer),
        orm.joinedload(Shipment.recorded_by),
        orm.joinedload(Shipment.taken_back_by),
        orm.selectinload(Shipment.lines).options(
            orm.joinedload(ShipmentLine.lot),
            orm.joinedload(ShipmentLine.delivery)
            .joinedload(Delivery.line)
            .options(orm.joinedload(OrderLine.order), orm.joinedload(OrderLine.revision).joinedload(Revision.part)),
        ),
    )


def get_shipment(session: orm.Session, shipment_id: int, *, lock: bool = False) -> Shipment:
    """Return one shipment with its customer, people, lines, lots, orders and parts, in two statements.

    Args:
        session: where to read.
        shipment_id: which one.
        lock: hold its row until the end of the transaction.

    Raises:
        ShipmentNotFoundError: there is none with this id.
    """
    if lock:
        session.scalars(sa.select(Shipment).where(Shipment.id == shipment_id).with_for_update()).all()
    shipment = session.scalars(
        _loaded().where(Shipment.id == shipment_id).execution_options(populate_existing=lock)
    ).one_or_none()
    if shipment is None:
        raise ShipmentNotFoundError
    return shipment


@dataclass(frozen=True, slots=True)
class Left:
    """What of one lot or order left with a shipment that was not taken back."""

    shipment: Shipment
    pieces: int


SHOWN_LEFT: Final = 12
"""So many shipments are shown on a page that is about something else."""


def left_of_lot(session: orm.Session, lot_id: int) -> list[Left]:
    """Return the last shipments that a lot's pieces left with, newest first; one statement."""
    return _left(session, ShipmentLine.lot_id == lot_id)


def left_of_order(session: orm.Session, order_id: int) -> list[Left]:
    """Return the last shipments of an order, newest first; one statement."""
    lines = sa.select(Delivery.id).join(Delivery.line).where(OrderLine.order_id == order_id)
    return _left(session, ShipmentLine.delivery_id.in_(lines))


def _left(session: orm.Session, which: sa.ColumnElement[bool]) -> list[Left]:
    rows = session.execute(
        sa.select(Shipment, sa.func.sum(ShipmentLine.pieces))
        .join(Shipment.lines)
        .where(which, Shipment.taken_back_at.is_(None))
        .group_by(Shipment.id)
        .order_by(Shipment.number.desc())
        .limit(SHOWN_LEFT)
    )
    return [Left(shipment, int(pieces)) for shipment, pieces in rows]


def shipments_page(session: orm.Session, text: str, number: int) -> Page[Shipment]:
    """Return a page of shipments, newest first; ``text``: slip number, lot, customer, order number or part."""
    chosen = _loaded().order_by(Shipment.number.desc())
    if text:
        chosen = chosen.where(_matches(text))
    return paged(session, chosen, number)


def _matches(text: str) -> sa.ColumnElement[bool]:
    with_line = (
        sa.select(ShipmentLine.shipment_id)
        .join(ShipmentLine.lot)
        .join(ShipmentLine.delivery)
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(OrderLine.revision)
        .join(Revision.part)
        .where(sa.or_(contains(CustomerOrder.their_number, text), contains(Part.number, text), *_lot_is(text)))
    )
    found = [Shipment.customer.has(contains(Customer.name, text)), Shipment.id.in_(with_line)]
    if text.isdecimal() and len(text) < 10:
        found.append(Shipment.number == int(text))
    return sa.or_(*found)


def _lot_is(text: str) -> list[sa.ColumnElement[bool]]:
    number = lot_number(text)
    return [] if number is None else [Lot.number == number]


@dataclass(frozen=True, slots=True)
class Leaving:
    """What a shipment does to one delivery.

    Attributes:
        delivery: with its order, customer and part loaded.
        pieces: how many leave with the shipment.
        before: how many have left earlier.
    """

    delivery: Delivery
    pieces: int
    before: int

    @property
    def missing(self) -> int:
        """Return how many pieces are short after it; negative: so many over."""
        return self.delivery.quantity - self.before - self.pieces


def leavings(session: orm.Session, shipment: Shipment) -> list[Leaving]:
    """Return what a shipment did to each of its deliveries, as it was when it left; one statement."""
    now: Counter[int] = Counter()
    for line in shipment.lines:
        now[line.delivery_id] += line.pieces
    earlier = session.execute(
        sa.select(ShipmentLine.delivery_id, sa.func.sum(ShipmentLine.pieces))
        .join(ShipmentLine.shipment)
        .where(
            ShipmentLine.delivery_id.in_(now),
            Shipment.number < shipment.number,
            Shipment.taken_back_at.is_(None),
        )
        .group_by(ShipmentLine.delivery_id)
    )
    before = {row[0]: int(row[1]) for row in earlier}
    deliveries = {line.delivery_id: line.delivery for line in shipment.lines}
    return [Leaving(each, now[key], before.get(key, 0)) for key, each in deliveries.items()]


def heats_of_lots(session: orm.Session, lot_ids: Iterable[int]) -> dict[int, list[str]]:
    """Return the heats of the blanks of each lot, and of the lots it was split from; three statements."""
    origins = _origins(session, set(lot_ids))
    issued = issued_to_lots(session, {origin for each in origins.values() for origin in each})
    heats: dict[int, list[str]] = {}
    for lot_id, each in origins.items():
        of_blanks = [held.receipt.heat for origin in each for held in issued[origin] if held.receipt.revision_id]
        heats[lot_id] = sorted({heat for heat in of_blanks if heat})
    return heats


def _origins(session: orm.Session, lot_ids: set[int]) -> dict[int, set[int]]:
    """Return each lot with the lots it was split from, over any number of splits."""
    way = (
        sa.select(Lot.id.label("lot_id"), Lot.id.label("origin_id"), Lot.parent_id)
        .where(Lot.id.in_(lot_ids))
        .cte("way", recursive=True)
    )
    parent = orm.aliased(Lot)
    way = way.union_all(sa.select(way.c.lot_id, parent.id, parent.parent_id).join(parent, parent.id == way.c.parent_id))
    origins: dict[int, set[int]] = {}
    for lot_id, origin_id in session.execute(sa.select(way.c.lot_id, way.c.origin_id)):
        origins.setdefault(lot_id, set()).add(origin_id)
    return origins
