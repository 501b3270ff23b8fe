"""Taking an order, and changing what is said about it as a whole."""

from collections.abc import Sequence
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import ReceivedAfterDueError, ReceivedInFutureError
from app.orders.models import Customer, CustomerOrder, OrderLine
from app.orders.queries import get_order, shop_today
from app.orders.services.agreements import first_promise
from app.orders.services.checks import number_problems, order_problems
from app.orders.services.inputs import NewLine, NewOrder, OrderHead
from app.orders.services.known import Known, look_up
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, refuse


def add_order(session: orm.Session, new: NewOrder, by: Person | None, now: datetime) -> CustomerOrder:
    """Take an order; each delivery's due date is its first promise too.

    Raises:
        RefusedError: something is wrong with it; its problems say what and where.
    """
    with transaction(session):
        known = look_up(session, new.lines, [new.their_number], now)
        refuse(order_problems(new, known))
        return keep_order(session, new, known, by, now)


def keep_order(session: orm.Session, new: NewOrder, known: Known, by: Person | None, now: datetime) -> CustomerOrder:
    """Store an order that was checked against ``known``; a new customer is known to the orders that follow."""
    customer = known.customer(new.customer)
    if customer is None:
        customer = Customer(name=new.customer)
        session.add(customer)
        known.customers[new.customer.casefold()] = customer
    order = CustomerOrder(customer=customer, their_number=new.their_number, received_on=new.received_on, note=new.note)
    order.lines = [made_line(line, number, known, by, now) for number, line in enumerate(new.lines, start=1)]
    session.add(order)
    session.flush()
    return order


def made_line(new: NewLine, number: int, known: Known, by: Person | None, now: datetime) -> OrderLine:
    """Return a line that was checked against ``known``, not stored yet."""
    part = known.parts.find(new.part)
    revision = part and part.revision(new.revision)
    if revision is None:
        raise ValueError(f"{new.part} {new.revision} was not checked")
    return OrderLine(
        number=number,
        revision_id=revision.id,
        price=new.price,
        rush=new.rush,
        rush_by_id=by.id if by and new.rush else None,
        rush_at=now if new.rush else None,
        deliveries=[first_promise(each, revision.id, by, now) for each in new.deliveries],
    )


def change_order(session: orm.Session, order_id: int, head: OrderHead, now: datetime) -> CustomerOrder:
    """Change an order's number, received date and note.

    Raises:
        OrderNotFoundError: there is no such order.
        RefusedError: the number is taken, or the received date does not fit; its problems say where.
    """
    with transaction(session):
        order = get_order(session, order_id)
        same = _other_with_number(session, order, head.their_number)
        refuse(
            [
                *number_problems(head.their_number, same, order.customer.name),
                *_received_problems(session, order, head, now),
            ]
        )
        order.their_number, order.received_on, order.note = head.their_number, head.received_on, head.note
    return order


def _other_with_number(session: orm.Session, order: CustomerOrder, number: str) -> CustomerOrder | None:
    others = session.scalars(
        sa.select(CustomerOrder).where(
            CustomerOrder.customer_id == order.customer_id,
            CustomerOrder.id != order.id,
            sa.or_(CustomerOrder.their_number == number, sa.func.lower(CustomerOrder.their_number) == number.lower()),
        )
    )
    return others.first()


def _received_problems(session: orm.Session, order: CustomerOrder, head: OrderHead, now: datetime) -> Sequence[Problem]:
    today = shop_today(session, now)
    if head.received_on > today:
        return [Problem("received_on", ReceivedInFutureError(today))]
    first_due = min((delivery.due for line in order.lines for delivery in line.deliveries), default=None)
    if first_due is not None and head.received_on > first_due:
        return [Problem("received_on", ReceivedAfterDueError(first_due))]
    return []
