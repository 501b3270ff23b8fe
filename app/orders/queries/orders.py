"""Reads of orders and the list of deliveries."""

from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import OrderNotFoundError
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.parts.models import Part, Revision
from app.shared.database import the_one
from app.shared.paging import Page, contains, paged


class Shown(StrEnum):
    """Which deliveries a list shows."""

    OPEN = "open"
    ALL = "all"


def get_order(session: orm.Session, order_id: int) -> CustomerOrder:
    """Return one order with its customer, lines, parts and deliveries, in three statements.

    Raises:
        OrderNotFoundError: there is none with this id.
    """
    return the_one(
        session,
        sa.select(CustomerOrder)
        .where(CustomerOrder.id == order_id)
        .options(
            orm.joinedload(CustomerOrder.customer),
            orm.selectinload(CustomerOrder.lines).options(
                orm.joinedload(OrderLine.revision).joinedload(Revision.part),
                orm.joinedload(OrderLine.rush_by),
                orm.selectinload(OrderLine.deliveries),
            ),
        ),
        OrderNotFoundError,
    )


def get_line(session: orm.Session, line_id: int) -> OrderLine:
    """Return one line with its order, customer, part and deliveries, in two statements.

    Raises:
        OrderNotFoundError: there is none with this id.
    """
    return the_one(
        session,
        sa.select(OrderLine)
        .where(OrderLine.id == line_id)
        .options(
            orm.joinedload(OrderLine.order).joinedload(CustomerOrder.customer),
            orm.joinedload(OrderLine.revision).joinedload(Revision.part),
            orm.selectinload(OrderLine.deliveries),
        ),
        OrderNotFoundError,
    )


def deliveries_page(session: orm.Session, text: str, shown: Shown, number: int) -> Page[Delivery]:
    """Return a page of deliveries: open ones first, soonest due first; then closed ones, last due first.

    ``text`` looks in order numbers, customers and part numbers and names.
    """
    closed = Delivery.closed_at.is_not(None)
    chosen = (
        sa.select(Delivery)
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(CustomerOrder.customer)
        .join(OrderLine.revision)
        .join(Revision.part)
        .options(
            orm.contains_eager(Delivery.line).options(
                orm.contains_eager(OrderLine.order).contains_eager(CustomerOrder.customer),
                orm.contains_eager(OrderLine.revision).contains_eager(Revision.part),
            )
        )
        .order_by(
            closed,
            sa.case((sa.not_(closed), Delivery.due)),
            Delivery.due.desc(),
            CustomerOrder.their_number,
            OrderLine.number,
            Delivery.id,
        )
    )
    if text:
        found = (CustomerOrder.their_number, Customer.name, Part.number, Part.name)
        chosen = chosen.where(sa.or_(*(contains(column, text) for column in found)))
    if shown is Shown.OPEN:
        chosen = chosen.where(sa.not_(closed))
    return paged(session, chosen, number)


def any_orders(session: orm.Session) -> bool:
    """Say whether there is any order yet."""
    return session.scalars(sa.select(CustomerOrder.id).limit(1)).first() is not None
