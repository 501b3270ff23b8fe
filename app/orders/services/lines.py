"""Adding, changing and removing lines of an order."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import BelowCalledOffError, DeliveryInUseError, LastRowError, PriceError, TooManyRowsError
from app.orders.models import OrderLine
from app.orders.queries import get_line, get_order
from app.orders.services.checks import line_problems
from app.orders.services.following import tell_followers
from app.orders.services.inputs import HIGHEST_PRICE, MOST_LINES, LineTerms, NewLine
from app.orders.services.known import look_up
from app.orders.services.orders import made_line
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, RefusedError, refuse


def add_line(
    session: orm.Session,
    order_id: int,
    new: NewLine,
    by: Person | None,
    now: datetime,
    *,
    far_dates_meant: bool = False,
) -> OrderLine:
    """Add a line to an order.

    Raises:
        OrderNotFoundError: there is no such order.
        RefusedError: something is wrong with the line; its problems say what and where.
    """
    with transaction(session):
        order = get_order(session, order_id)
        if len(order.lines) >= MOST_LINES:
            raise RefusedError([Problem("part", TooManyRowsError(MOST_LINES))])
        known = look_up(session, [new], [], now)
        refuse(line_problems(new, order.received_on, known, far_dates_meant=far_dates_meant))
        line = made_line(new, max((each.number for each in order.lines), default=0) + 1, known, by, now)
        order.lines.append(line)
    return line


def change_line(session: orm.Session, line_id: int, terms: LineTerms, by: Person | None, now: datetime) -> OrderLine:
    """Change a line's price and standing total, or make it a rush (kept with who said so and when) or no longer one.

    Raises:
        OrderNotFoundError: there is no such line.
        PriceError: the price is out of range.
        BelowCalledOffError: more is called off than the total would be.
    """
    if not 0 <= terms.price <= HIGHEST_PRICE:
        raise PriceError(HIGHEST_PRICE)
    with transaction(session):
        line = get_line(session, line_id)
        if terms.standing_quantity is not None and terms.standing_quantity < line.called_off:
            raise BelowCalledOffError(line.called_off)
        line.price, line.standing_quantity = terms.price, terms.standing_quantity
        if line.rush != terms.rush:
            line.rush = terms.rush
            line.rush_by_id = by.id if by and terms.rush else None
            line.rush_at = now if terms.rush else None
            tell_followers(session, [delivery.id for delivery in line.deliveries])
    return line


def remove_line(session: orm.Session, line_id: int) -> int:
    """Remove a line that nothing was done for yet, with its deliveries; return its order's id.

    Raises:
        OrderNotFoundError: there is no such line.
        LastRowError: it is the order's only line.
        DeliveryInUseError: a lot serves one of its deliveries, or pieces have been shipped.
    """
    with transaction(session):
        line = get_line(session, line_id)
        order = get_order(session, line.order_id)
        if len(order.lines) == 1:
            raise LastRowError
        if any(delivery.shipped for delivery in line.deliveries):
            raise DeliveryInUseError
        remove_rows(session, *line.deliveries, line)
    return order.id


def remove_rows(session: orm.Session, *rows: object) -> None:
    """Delete rows that no later area's row points at.

    Raises:
        DeliveryInUseError: one does.
    """
    for row in rows:
        session.delete(row)
    try:
        session.flush()
    except sa.exc.IntegrityError as error:
        raise DeliveryInUseError from error
