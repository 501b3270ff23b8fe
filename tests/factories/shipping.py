"""Finished lots and shipments, made through the program's own services."""

from datetime import date
from typing import Any

from sqlalchemy import orm

from app.lots.models import Lot
from app.lots.services import Share, SignOff, sign_off
from app.orders.models import Delivery
from app.parts.models import Revision
from app.shipping.models import Shipment
from app.shipping.services import NewShipment, NewShipmentLine, ship
from tests.factories.lots import act, make_lot, make_routing
from tests.factories.orders import CustomerOrderFactory, DeliveryFactory, OrderLineFactory

TODAY = date(2026, 1, 7)
DUE = date(2026, 1, 9)


def make_revision(*, operations: int = 1) -> Revision:
    """Make a revision with a short routing."""
    return make_routing(operations=operations).revision


def make_delivery(revision: Revision, *, quantity: int = 50, due: date = DUE, customer=None, **line) -> Delivery:
    """Make an order of one delivery."""
    order = CustomerOrderFactory(**({"customer": customer} if customer else {}))
    return DeliveryFactory(
        line=OrderLineFactory(order=order, revision=revision, **line), quantity=quantity, due=due, first_due=due
    )


def make_finished_lot(
    session: orm.Session, revision: Revision, *shares: tuple[Delivery, int], pieces: int = 50, good: int | None = None
) -> Lot:
    """Release a lot for some deliveries, or for stock, and sign off ``good`` of its pieces at every operation."""
    lot = make_lot(
        session,
        pieces=pieces,
        routing=revision.routings[0],
        shares=tuple(Share(delivery.id, quantity) for delivery, quantity in shares),
    )
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, pieces if good is None else good)])
    session.commit()
    return lot


def new_shipment(*lines: tuple[Lot, Delivery, int], **more) -> NewShipment:
    """Describe a shipment of today for the customer of its first delivery."""
    facts: dict[str, Any] = {"customer_id": lines[0][1].line.order.customer_id, "shipped_on": TODAY} | more
    return NewShipment(
        lines=tuple(NewShipmentLine(lot.id, delivery.id, pieces) for lot, delivery, pieces in lines), **facts
    )


def make_shipment(session: orm.Session, *lines: tuple[Lot, Delivery, int], **more) -> Shipment:
    """Ship pieces of lots for deliveries."""
    shipment = ship(session, act(), new_shipment(*lines, **more))
    session.commit()
    return shipment
