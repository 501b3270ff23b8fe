"""Reads of deliveries."""

from collections.abc import Sequence
from datetime import UTC, date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import OrderNotFoundError
from app.orders.models import Agreement, CustomerOrder, Delivery, OrderLine
from app.parts.models import Revision
from app.shared.database import lock_row, the_one
from app.stations.queries import shop, shop_zone


def _loaded() -> sa.Select[Delivery]:
    return sa.select(Delivery).options(
        orm.joinedload(Delivery.line).options(
            orm.joinedload(OrderLine.order).joinedload(CustomerOrder.customer),
            orm.joinedload(OrderLine.revision).joinedload(Revision.part),
        )
    )


def get_delivery(session: orm.Session, delivery_id: int, *, lock: bool = False) -> Delivery:
    """Return one delivery with its line, order, customer, revision and part.

    Args:
        session: where to read.
        delivery_id: which one.
        lock: hold its row until the end of the transaction.

    Raises:
        OrderNotFoundError: there is none with this id.
    """
    if lock and lock_row(session, Delivery, delivery_id) is None:
        raise OrderNotFoundError
    return the_one(session, _loaded().where(Delivery.id == delivery_id), OrderNotFoundError)


def open_deliveries(session: orm.Session) -> Sequence[Delivery]:
    """Return all open deliveries, soonest due first, loaded as ``get_delivery``; one statement."""
    return session.scalars(_loaded().where(Delivery.closed_at.is_(None)).order_by(Delivery.due, Delivery.id)).all()


def open_deliveries_of_customer(session: orm.Session, customer_id: int) -> Sequence[Delivery]:
    """Return a customer's open deliveries, soonest due first, loaded as ``get_delivery``; one statement."""
    return session.scalars(
        _loaded()
        .join(Delivery.line)
        .join(OrderLine.order)
        .where(Delivery.closed_at.is_(None), CustomerOrder.customer_id == customer_id)
        .order_by(Delivery.due, Delivery.id)
    ).all()


def open_deliveries_of_revision(session: orm.Session, revision_id: int) -> Sequence[Delivery]:
    """Return the open deliveries of a revision, soonest due first, loaded as ``get_delivery``; one statement."""
    return session.scalars(
        _loaded()
        .join(Delivery.line)
        .where(Delivery.closed_at.is_(None), OrderLine.revision_id == revision_id)
        .order_by(Delivery.due, Delivery.id)
    ).all()


def agreements_of(session: orm.Session, delivery_id: int) -> Sequence[Agreement]:
    """Return what was agreed about a delivery, in the order in which it was, with revisions and who recorded it."""
    return session.scalars(
        sa.select(Agreement)
        .where(Agreement.delivery_id == delivery_id)
        .order_by(Agreement.id)
        .options(orm.joinedload(Agreement.revision), orm.joinedload(Agreement.recorded_by))
    ).all()


def revisions_of(session: orm.Session, delivery_id: int) -> Sequence[Revision]:
    """Return the revisions of a delivery's part, oldest first.

    Raises:
        OrderNotFoundError: there is no such delivery.
    """
    part_id = get_delivery(session, delivery_id).line.revision.part_id
    return session.scalars(sa.select(Revision).where(Revision.part_id == part_id).order_by(Revision.id)).all()


def leave_by(session: orm.Session, leave_day: date) -> datetime:
    """Return the moment (UTC) by which goods must have left on ``leave_day``: the shop's shipping cut-off that day.

    A lot is late when its expected finish falls after it.
    """
    return datetime.combine(leave_day, shop(session).shipping_cutoff, shop_zone(session)).astimezone(UTC)


def shop_today(session: orm.Session, now: datetime) -> date:
    """Return the day that ``now`` is in the shop.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    return now.astimezone(shop_zone(session)).date()
