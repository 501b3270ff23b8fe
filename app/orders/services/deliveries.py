"""The deliveries of a line: adding, changing, closing, and counting what was shipped."""

from datetime import date, datetime

from sqlalchemy import orm

from app.orders.errors import (
    BelowShippedError,
    DeliveryClosedError,
    DeliveryFilledError,
    DeliveryInUseError,
    LastRowError,
    ShippedCountError,
    TooManyRowsError,
)
from app.orders.models import Delivery
from app.orders.queries import get_delivery, get_line, shop_today
from app.orders.services.checks import FAR_YEARS, delivery_problems, years_after
from app.orders.services.following import tell_followers
from app.orders.services.inputs import MOST_DELIVERIES, NewDelivery
from app.orders.services.lines import remove_rows
from app.shared.database import transaction
from app.shared.errors import Problem, RefusedError, refuse


def add_delivery(
    session: orm.Session, line_id: int, new: NewDelivery, now: datetime, *, far_dates_meant: bool = False
) -> Delivery:
    """Add a delivery to a line; its due date is its first promise too.

    Raises:
        OrderNotFoundError: there is no such line.
        RefusedError: the quantity or date does not fit; its problems say where.
    """
    with transaction(session):
        line = get_line(session, line_id)
        if len(line.deliveries) >= MOST_DELIVERIES:
            raise RefusedError([Problem("quantity", TooManyRowsError(MOST_DELIVERIES))])
        latest = _latest(session, now, far_dates_meant=far_dates_meant)
        refuse(delivery_problems(new, line.order.received_on, latest))
        delivery = Delivery(line=line, quantity=new.quantity, due=new.due, first_due=new.due)
        session.add(delivery)
    return delivery


def change_delivery(
    session: orm.Session, delivery_id: int, new: NewDelivery, now: datetime, *, far_dates_meant: bool = False
) -> Delivery:
    """Change a delivery's quantity and due date; the first promise stays on record.

    One that is filled by the new quantity closes; a filled one that grows is open again.

    Raises:
        OrderNotFoundError: there is no such delivery.
        DeliveryClosedError: it was closed short; open it again first.
        RefusedError: the quantity or date does not fit; its problems say where.
    """
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if delivery.closed_at is not None and delivery.shipped < delivery.quantity:
            raise DeliveryClosedError(delivery.shipped, delivery.quantity)
        received_on = delivery.line.order.received_on
        refuse(delivery_problems(new, received_on, _latest(session, now, far_dates_meant=far_dates_meant)))
        if new.quantity < delivery.shipped:
            raise RefusedError([Problem("quantity", BelowShippedError(delivery.shipped))])
        delivery.quantity, delivery.due = new.quantity, new.due
        _settle(delivery, now)
        tell_followers(session, [delivery.id])
    return delivery


def _latest(session: orm.Session, now: datetime, *, far_dates_meant: bool) -> date | None:
    return None if far_dates_meant else years_after(shop_today(session, now), FAR_YEARS)


def _settle(delivery: Delivery, now: datetime) -> None:
    """Close a delivery of which all was shipped, open one of which something is missing."""
    filled = delivery.shipped >= delivery.quantity
    if filled and delivery.closed_at is None:
        delivery.closed_at = now
    elif not filled:
        delivery.closed_at = None


def close_delivery(session: orm.Session, delivery_id: int, now: datetime) -> Delivery:
    """Close a delivery of which nothing more will be shipped; closing it twice changes nothing.

    Raises:
        OrderNotFoundError: there is no such delivery.
    """
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if delivery.closed_at is None:
            delivery.closed_at = now
            tell_followers(session, [delivery.id])
    return delivery


def reopen_delivery(session: orm.Session, delivery_id: int) -> Delivery:
    """Open a delivery again that was closed short; one that is open stays so.

    Raises:
        OrderNotFoundError: there is no such delivery.
        DeliveryFilledError: all of it was shipped.
    """
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if delivery.shipped >= delivery.quantity:
            raise DeliveryFilledError(delivery.shipped)
        if delivery.closed_at is not None:
            delivery.closed_at = None
            tell_followers(session, [delivery.id])
    return delivery


def remove_delivery(session: orm.Session, delivery_id: int) -> int:
    """Remove a delivery that nothing was done for yet; return its order's id.

    Raises:
        OrderNotFoundError: there is no such delivery.
        LastRowError: it is the only one of its line.
        DeliveryInUseError: a lot serves it, or pieces of it have been shipped.
    """
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        line = get_line(session, delivery.line_id)
        if len(line.deliveries) == 1:
            raise LastRowError
        if delivery.shipped:
            raise DeliveryInUseError
        remove_rows(session, delivery)
    return line.order_id


def add_shipped(session: orm.Session, delivery_id: int, pieces: int, now: datetime) -> Delivery:
    """Count pieces that left for a delivery; negative ``pieces`` take a shipment back.

    The delivery closes when all of its quantity has left, more than it included, and is open again when not.

    Raises:
        OrderNotFoundError: there is no such delivery.
        ShippedCountError: more would be taken back than was shipped.
    """
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if delivery.shipped + pieces < 0:
            raise ShippedCountError(delivery.shipped)
        delivery.shipped += pieces
        _settle(delivery, now)
        tell_followers(session, [delivery.id])
    return delivery
