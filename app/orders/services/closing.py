"""Ending a delivery before all of it has left, and opening it again."""

from sqlalchemy import orm

from app.orders.errors import BeyondStandingError, CancelReasonError, DeliveryFilledError, NothingLeftError
from app.orders.models import Agreed, Delivery
from app.orders.queries import get_delivery, get_line
from app.orders.services.agreements import agreed_before, record
from app.orders.services.following import tell_followers
from app.orders.services.inputs import Talk
from app.shared.database import transaction


def cancel_delivery(session: orm.Session, delivery_id: int, talk: Talk) -> Delivery:
    """Close a delivery because the customer no longer wants what has not left; ``talk.note`` is the reason.

    Its lots stay as they are: what becomes of their pieces is decided for each.

    Raises:
        OrderNotFoundError: there is no such delivery.
        AgreedOtherwiseError: the form was recorded before with other content.
        CancelReasonError: no reason is given.
        NothingLeftError: it is closed already.
    """
    content = {"delivery": delivery_id, "reason": talk.note}
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        answer = agreed_before(session, talk, Agreed.CANCELLED, content)
        if answer is not None:
            return answer
        if not talk.note.strip():
            raise CancelReasonError
        if delivery.closed_at is not None:
            raise NothingLeftError
        delivery.closed_at, delivery.cancelled_reason = talk.now, talk.note.strip()
        record(delivery, talk, Agreed.CANCELLED, content)
        tell_followers(session, [delivery.id])
    return delivery


def close_delivery(session: orm.Session, delivery_id: int, talk: Talk) -> Delivery:
    """Close a delivery of which nothing more will be shipped, as ``talk`` says who agreed; twice changes nothing.

    Raises:
        OrderNotFoundError: there is no such delivery.
        AgreedOtherwiseError: the form was recorded before with other content.
    """
    content = {"delivery": delivery_id, "agreed_with": talk.agreed_with, "note": talk.note}
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if agreed_before(session, talk, Agreed.CLOSED_SHORT, content) is None and delivery.closed_at is None:
            delivery.closed_at = talk.now
            record(delivery, talk, Agreed.CLOSED_SHORT, content)
            tell_followers(session, [delivery.id])
    return delivery


def reopen_delivery(session: orm.Session, delivery_id: int, talk: Talk) -> Delivery:
    """Open a delivery again that was closed short or cancelled; one that is open stays so.

    Raises:
        OrderNotFoundError: there is no such delivery.
        DeliveryFilledError: all of it was shipped.
        BeyondStandingError: its pieces were called off by others meanwhile.
    """
    content = {"delivery": delivery_id}
    with transaction(session):
        delivery = get_delivery(session, delivery_id, lock=True)
        if agreed_before(session, talk, Agreed.REOPENED, content) is not None:
            return delivery
        if delivery.shipped >= delivery.quantity:
            raise DeliveryFilledError(delivery.shipped)
        if delivery.closed_at is not None:
            delivery.closed_at, delivery.cancelled_reason = None, ""
            line = get_line(session, delivery.line_id)
            if line.standing_quantity is not None and line.remaining < 0:
                raise BeyondStandingError(line.remaining + delivery.quantity - delivery.shipped, line.standing_quantity)
            record(delivery, talk, Agreed.REOPENED, content)
            tell_followers(session, [delivery.id])
    return delivery
