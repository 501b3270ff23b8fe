"""How many filled deliveries left in time, against the first promise and against what was agreed last."""

from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.shipping.models import Shipment, ShipmentLine

COUNTED: Final = 200
"""So many of the deliveries that were filled last are counted."""


@dataclass(frozen=True, slots=True)
class OnTime:
    """Filled deliveries, and how many of them had left by the day of the first promise and of the last agreement."""

    deliveries: int
    by_first: int
    by_last: int


def on_time_of_customer(session: orm.Session, customer_id: int) -> OnTime:
    """Count a customer's last filled deliveries; one statement of at most ``COUNTED`` rows."""
    return _on_time(session, CustomerOrder.customer_id == customer_id)


def on_time_of_order(session: orm.Session, order_id: int) -> OnTime:
    """Count an order's filled deliveries; one statement of at most ``COUNTED`` rows."""
    return _on_time(session, CustomerOrder.id == order_id)


def _on_time(session: orm.Session, which: sa.ColumnElement[bool]) -> OnTime:
    last_left = sa.func.max(Shipment.shipped_on)
    rows = session.execute(
        sa.select(Delivery, Customer, last_left)
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(CustomerOrder.customer)
        .join(ShipmentLine, ShipmentLine.delivery_id == Delivery.id)
        .join(ShipmentLine.shipment)
        .where(
            which,
            Shipment.taken_back_at.is_(None),
            Delivery.shipped >= Delivery.quantity,
            sa.not_(Delivery.is_replacement),
        )
        .group_by(Delivery.id, Customer.id)
        .order_by(last_left.desc(), Delivery.id.desc())
        .limit(COUNTED)
    ).all()
    return OnTime(
        deliveries=len(rows),
        by_first=sum(left <= customer.leave_day(delivery.first_due) for delivery, customer, left in rows),
        by_last=sum(left <= customer.leave_day(delivery.due) for delivery, customer, left in rows),
    )
