"""The deliveries of a line: adding, changing what is agreed, removing, and counting what was shipped."""

from collections.abc import Iterator
from dataclasses import asdict
from datetime import date, datetime

from sqlalchemy import orm

from app.orders.errors import (
    BelowShippedError,
    BeyondStandingError,
    DeliveryClosedError,
    DeliveryInUseError,
    LastRowError,
    NothingChangedError,
    ShippedCountError,
    TooManyRowsError,
)
from app.orders.models import Agreed, Delivery, OrderLine
from app.orders.queries import get_delivery, get_line, shop_today
from app.orders.services.agreements import agreed_before, record
from app.orders.services.checks import FAR_YEARS, delivery_problems, years_after
from app.orders.services.following import tell_followers
from app.orders.services.inputs import MOST_DELIVERIES, NewDelivery, Talk, Terms
from app.orders.services.lines import remove_rows
from app.orders.services.revisions import move_to_revision, revision_problems
from app.shared.database import transaction
from app.shared.errors import Problem, RefusedError, refuse


def add_delivery(
    session: orm.Session, line_id: int, terms: Terms, talk: Talk, *, is_replacement: bool = False
) -> Delivery:
    """Add a delivery to a line, of a standing order a call-off; its due date is its first promise too.

    Args:
        session: the database session.
        line_id: the line.
        terms: quantity and due date.
        talk: who wrote it down, when, and who agreed.
        is_replacement: it is sent again for goods that came back.

    Raises:
        OrderNotFoundError: there is no such line.
        AgreedOtherwiseError: the form was recorded before with other content.
        RefusedError: the quantity or date does not fit, or more is called off than the standing order has; its
            problems say where.
    """
    content = {"line": line_id, **asdict(terms)}
    with transaction(session):
        line = get_line(session, line_id)
        answer = agreed_before(session, talk, Agreed.FIRST, content)
        if answer is not None:
            return answer
        if len(line.deliveries) >= MOST_DELIVERIES:
            raise RefusedError([Problem("quantity", TooManyRowsError(MOST_DELIVERIES))])
        new = NewDelivery(terms.quantity, terms.due)
        refuse(delivery_problems(new, line.order.received_on, _latest(session, talk.now, terms)))
        delivery = Delivery(
            line=line, quantity=new.quantity, due=new.due, first_due=new.due, is_replacement=is_replacement
        )
        session.add(delivery)
        refuse(standing_problems(line, terms))
        record(delivery, talk, Agreed.FIRST, content)
    return delivery


def change_delivery(session: orm.Session, delivery_id: int, terms: Terms, talk: Talk) -> Delivery:
    """Change what is agreed about a delivery; the first promise and each later agreement stay on record.

    One that is filled by the new quantity closes; a filled one that grows is open again.

    Raises:
        OrderNotFoundError: there is no such delivery.
        AgreedOtherwiseError: the form was recorded before with other content.
        DeliveryClosedError: it was closed short; open it again first.
        NothingChangedError: that is agreed already.
        RefusedError: quantity, date or revision does not fit, or the standing order has less; its problems say where.
    """
    content = {"delivery": delivery_id, **asdict(terms)}
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        answer = agreed_before(session, talk, Agreed.CHANGED, content)
        if answer is not None:
            return answer
        _check_change(session, delivery, terms, talk)
        line = get_line(session, delivery.line_id)
        delivery.quantity, delivery.due = terms.quantity, terms.due
        _settle(delivery, talk.now)
        refuse(standing_problems(line, terms))
        if terms.revision_id is not None:
            move_to_revision(session, delivery, line, terms.revision_id)
        record(delivery, talk, Agreed.CHANGED, content)
        tell_followers(session, [delivery.id])
    return delivery


def _check_change(session: orm.Session, delivery: Delivery, terms: Terms, talk: Talk) -> None:
    if delivery.closed_at is not None and delivery.shipped < delivery.quantity:
        raise DeliveryClosedError(delivery.shipped, delivery.quantity)
    line = delivery.line
    revision_id = terms.revision_id or line.revision_id
    if (terms.quantity, terms.due, revision_id) == (delivery.quantity, delivery.due, line.revision_id):
        raise NothingChangedError
    new = NewDelivery(terms.quantity, terms.due)
    problems = list(delivery_problems(new, line.order.received_on, _latest(session, talk.now, terms)))
    if terms.quantity < delivery.shipped:
        problems.append(Problem("quantity", BelowShippedError(delivery.shipped)))
    refuse([*problems, *revision_problems(session, delivery, revision_id)])


def standing_problems(line: OrderLine, terms: Terms) -> Iterator[Problem]:
    """Give what is wrong with a line whose deliveries ask for more than its standing order has.

    Where the customer agreed to more, the total rises instead.
    """
    if line.standing_quantity is None or line.remaining >= 0:
        return
    if terms.over_agreed:
        line.standing_quantity = line.called_off
    else:
        yield Problem("quantity", BeyondStandingError(line.remaining + terms.quantity, line.standing_quantity))


def _latest(session: orm.Session, now: datetime, terms: Terms) -> date | None:
    return None if terms.far_dates_meant else years_after(shop_today(session, now), FAR_YEARS)


def _settle(delivery: Delivery, now: datetime) -> None:
    """Close a delivery of which all was shipped, open one of which something is missing and wanted."""
    filled = delivery.shipped >= delivery.quantity
    if filled and delivery.closed_at is None:
        delivery.closed_at = now
    elif not filled and not delivery.cancelled_reason:
        delivery.closed_at = None


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
