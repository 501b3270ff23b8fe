"""Finished pieces in stock that turn out bad: scrapped, reworked, or sent back to a vendor."""

from dataclasses import asdict, dataclass

from sqlalchemy import orm

from app.lots.errors import NothingHereError, ReasonMissingError, TooManyPiecesError
from app.lots.models import Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.names import lot_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, write
from app.shared.database import transaction
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class _Asked:
    """How many pieces of which lot, why; and the operation that caused it, or that they go back to."""

    lot_id: int
    pieces: int
    reason: str
    operation_id: int | None = None


def scrap_finished(session: orm.Session, act: Act, lot_id: int, pieces: int, reason: str, cause_id: int) -> Posting:
    """Scrap finished pieces; they count as found at the lot's last operation, caused by the one that is named.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are in stock.
    """
    return _take_from_stock(session, act, Verb.SCRAP, _Asked(lot_id, pieces, reason, cause_id))


def send_finished_back_to_vendor(session: orm.Session, act: Act, lot_id: int, pieces: int, reason: str) -> Posting:
    """Send finished pieces back to a vendor: they leave the count, and are no scrap of the shop.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are in stock.
    """
    return _take_from_stock(session, act, Verb.BACK_TO_VENDOR, _Asked(lot_id, pieces, reason))


def rework_finished(
    session: orm.Session, act: Act, lot_id: int, pieces: int, to_operation_id: int, reason: str
) -> Posting:
    """Send finished pieces back to an operation; they pass it and those after it again, and the lot is open again.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are in stock.
        NothingHereError: the operation named is none of the lot, or it is passed over.
    """
    return _take_from_stock(session, act, Verb.REWORK, _Asked(lot_id, pieces, reason, to_operation_id))


def _take_from_stock(session: orm.Session, act: Act, verb: Verb, asked: _Asked) -> Posting:
    with transaction(session):
        lot = lock_lot(session, asked.lot_id)
        answer = earlier_answer(session, act, verb, asdict(asked))
        if answer is not None:
            return answer
        if not asked.reason.strip():
            raise ReasonMissingError
        if not 1 <= asked.pieces <= lot.in_stock:
            where = gettext("%(lot)s, in stock", lot=lot_name(lot))
            raise TooManyPiecesError(asked.pieces, lot.in_stock, where)
        named = next((each for each in lot.operations if each.id == asked.operation_id and not each.skipped), None)
        cause = lot.operations[-1] if verb is Verb.REWORK else named
        origin, reason = Spot(Place.IN_STOCK), asked.reason.strip()
        move = Move(lot, asked.pieces, origin, _target(lot, verb, named), cause=cause, reason=reason)
        return write(session, act, verb, asdict(asked), [move])


def _target(lot: Lot, verb: Verb, operation: LotOperation | None) -> Spot:
    if verb is Verb.SCRAP:
        return at(lot.operations[-1], Place.SCRAPPED)
    if verb is Verb.BACK_TO_VENDOR:
        return at(lot.operations[-1], Place.AT_VENDOR)
    if operation is None:
        raise NothingHereError(lot_name(lot))
    return at(operation, Place.WAITING)
