"""Deciding which deliveries a lot's pieces are meant for, after its release."""

from sqlalchemy import orm

from app.lots.errors import NotFreeError, NotMeantError, OtherRevisionError, TooManyPiecesError
from app.lots.models import Lot, LotDelivery, Place, Posting, Verb
from app.lots.queries.cover import unmeant
from app.lots.queries.names import lot_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, lock_lot, write
from app.lots.services.due import refresh_due
from app.orders.models import Delivery
from app.orders.queries import get_delivery
from app.shared.database import transaction


def mean_for(session: orm.Session, act: Act, lot_id: int, delivery_id: int, pieces: int) -> Posting:
    """Mean pieces of a lot that nothing else is meant for, finished or not, for an open delivery.

    Raises:
        OtherRevisionError: the delivery asks for another part or revision.
        NotMeantError: the delivery is closed.
        NotFreeError: fewer pieces are free.
    """
    content = {"lot": lot_id, "delivery": delivery_id, "pieces": pieces}
    with transaction(session):
        lot, delivery = lock_lot(session, lot_id), get_delivery(session, delivery_id, lock=True)
        answer = earlier_answer(session, act, Verb.MEAN_FOR, content)
        if answer is not None:
            return answer
        if delivery.line.revision_id != lot.revision_id:
            raise OtherRevisionError(lot_name(lot))
        if delivery.closed_at is not None:
            raise NotMeantError(delivery.line.order.their_number)
        if not 1 <= pieces <= unmeant(lot):
            raise NotFreeError(lot_name(lot), max(0, unmeant(lot)))
        share = _share(lot, delivery)
        share.quantity += pieces
        refresh_due(session, lot)
        return write(session, act, Verb.MEAN_FOR, content, [_mark(lot, f"+{pieces}: {_named(delivery)}")])


def free_again(session: orm.Session, act: Act, lot_id: int, delivery_id: int, pieces: int | None = None) -> Posting:
    """Mean pieces of a lot that have not left for a delivery for no delivery any more: they go to stock.

    Args:
        session: the database session.
        act: who, when.
        lot_id: the lot.
        delivery_id: what they were meant for.
        pieces: so many; None: all that have not left.

    Raises:
        NotMeantError: none are meant for it.
        TooManyPiecesError: fewer are.
    """
    content = {"lot": lot_id, "delivery": delivery_id} | ({"pieces": pieces} if pieces is not None else {})
    with transaction(session):
        lot, delivery = lock_lot(session, lot_id), get_delivery(session, delivery_id, lock=True)
        answer = earlier_answer(session, act, Verb.MEAN_FOR, content)
        if answer is not None:
            return answer
        share = next((each for each in lot.deliveries if each.delivery_id == delivery_id), None)
        if share is None or share.shipped == share.quantity:
            raise NotMeantError(delivery.line.order.their_number)
        meant = share.quantity - share.shipped
        fewer = meant if pieces is None else pieces
        if not 1 <= fewer <= meant:
            raise TooManyPiecesError(fewer, meant, _named(delivery))
        share.quantity -= fewer
        if share.quantity == 0:
            lot.deliveries.remove(share)
        if lot.due_on == delivery.leave_day:
            lot.due_on, lot.rush = None, False  # of this delivery; the others give theirs back
        refresh_due(session, lot)
        return write(session, act, Verb.MEAN_FOR, content, [_mark(lot, f"-{fewer}: {_named(delivery)}")])


def _share(lot: Lot, delivery: Delivery) -> LotDelivery:
    share = next((each for each in lot.deliveries if each.delivery_id == delivery.id), None)
    if share is None:
        share = LotDelivery(delivery=delivery, quantity=0, shipped=0)
        lot.deliveries.append(share)
    return share


def _mark(lot: Lot, reason: str) -> Move:
    """Return an entry that moves nothing: what the lot's pieces are meant for changed."""
    return Move(lot, 0, Spot(Place.IN_STOCK), Spot(Place.IN_STOCK), reason=reason)


def _named(delivery: Delivery) -> str:
    order = delivery.line.order
    return f"{order.customer.name} {order.their_number}/{delivery.line.number}"
