"""Setting pieces or whole lots aside: hold and release; scrap, rework, back to the vendor of pieces at an operation."""

from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import orm

from app.lots.errors import LotOnHoldError, NothingHereError, ReasonMissingError, TooManyPiecesError
from app.lots.models import Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import Source, draw, sources
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, lock_operations, write
from app.shared.database import transaction


def hold_lot(session: orm.Session, act: Act, lot_id: int, reason: str) -> Posting:
    """Put a whole lot on hold: nothing of it may be begun or signed off until it is released.

    Raises:
        ReasonMissingError: no reason is given.
        LotOnHoldError: it is on hold already.
    """
    content = {"lot": lot_id, "reason": reason}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.HOLD, content)
        if answer is not None:
            return answer
        if not reason.strip():
            raise ReasonMissingError
        if lot.on_hold:
            raise LotOnHoldError(lot_name(lot), lot.hold_reason)
        lot.hold_reason = reason.strip()
        return write(session, act, Verb.HOLD, content, [_lot_mark(lot, reason)])


def release_lot_hold(session: orm.Session, act: Act, lot_id: int) -> Posting:
    """Let a lot that is on hold go on.

    Raises:
        NothingHereError: it is not on hold.
    """
    content = {"lot": lot_id}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.RELEASE_HOLD, content)
        if answer is not None:
            return answer
        if not lot.on_hold:
            raise NothingHereError(lot_name(lot))
        posting = write(session, act, Verb.RELEASE_HOLD, content, [_lot_mark(lot, lot.hold_reason)])
        lot.hold_reason = ""
        return posting


def _lot_mark(lot: Lot, reason: str) -> Move:
    """Return an entry about the whole lot: it moves nothing and stands at no operation."""
    return Move(lot, 0, Spot(Place.STARTED), Spot(Place.STARTED), reason=reason.strip())


def hold_pieces(session: orm.Session, act: Act, operation_id: int, pieces: int, reason: str) -> Posting:
    """Hold some pieces at an operation, from those waiting, counted or in work.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are there.
    """
    content = {"operation": operation_id, "pieces": pieces, "reason": reason}

    def moves(operation: LotOperation) -> list[Move]:
        found = [Source(Place.WAITING, operation.waiting), *_at_stations(session, act, operation)]
        return _aside_moves(operation, found, pieces, at(operation, Place.HELD), reason)

    return _set_aside(session, act, Verb.HOLD, content, moves)


def release_pieces(session: orm.Session, act: Act, operation_id: int, pieces: int) -> Posting:
    """Let held pieces wait at their operation again.

    Raises:
        TooManyPiecesError: fewer are held.
    """
    content = {"operation": operation_id, "pieces": pieces}

    def moves(operation: LotOperation) -> list[Move]:
        found = [Source(Place.HELD, operation.held)]
        return _aside_moves(operation, found, pieces, at(operation, Place.WAITING), act.note or "-")

    return _set_aside(session, act, Verb.RELEASE_HOLD, content, moves)


def scrap_pieces(
    session: orm.Session, act: Act, operation_id: int, pieces: int, reason: str, cause_id: int | None = None
) -> Posting:
    """Scrap pieces that are held or wait at an operation, or are in work there, found outside a sign-off.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are there.
    """
    content = {"operation": operation_id, "pieces": pieces, "reason": reason, "cause": cause_id}

    def moves(operation: LotOperation) -> list[Move]:
        cause = next((each for each in operation.lot.operations if each.id == cause_id), operation)
        target = at(operation, Place.SCRAPPED)
        return _aside_moves(operation, _anywhere(session, act, operation), pieces, target, reason, cause)

    return _set_aside(session, act, Verb.SCRAP, content, moves)


def send_back_to_vendor(session: orm.Session, act: Act, operation_id: int, pieces: int, reason: str) -> Posting:
    """Send pieces at an operation back to a vendor: they leave the count, and are no scrap of the shop.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are there.
    """
    content = {"operation": operation_id, "pieces": pieces, "reason": reason}

    def moves(operation: LotOperation) -> list[Move]:
        found = _anywhere(session, act, operation)
        return _aside_moves(operation, found, pieces, at(operation, Place.AT_VENDOR), reason)

    return _set_aside(session, act, Verb.BACK_TO_VENDOR, content, moves)


def rework_pieces(
    session: orm.Session, act: Act, operation_id: int, pieces: int, to_operation_id: int, reason: str
) -> Posting:
    """Send pieces back to this operation or an earlier one; they pass each one again and count once as output.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are there.
        NothingHereError: the operation named comes after it, or is none of the lot.
    """
    content = {"operation": operation_id, "pieces": pieces, "to": to_operation_id, "reason": reason}

    def moves(operation: LotOperation) -> list[Move]:
        earlier = [each for each in operation.lot.operations if each.number <= operation.number and not each.skipped]
        target = next((each for each in earlier if each.id == to_operation_id), None)
        if target is None:
            raise NothingHereError(operation_name(operation))
        found = _anywhere(session, act, operation)
        return _aside_moves(operation, found, pieces, at(target, Place.WAITING), reason, operation)

    return _set_aside(session, act, Verb.REWORK, content, moves)


def _set_aside(
    session: orm.Session, act: Act, verb: Verb, content: dict[str, Any], moves: Callable[[LotOperation], list[Move]]
) -> Posting:
    """Write once what some moves of the operation that the content names come to."""
    with transaction(session):
        [operation] = lock_operations(session, [content["operation"]])
        answer = earlier_answer(session, act, verb, content)
        return answer if answer is not None else write(session, act, verb, content, moves(operation))


def _at_stations(session: orm.Session, act: Act, operation: LotOperation) -> list[Source]:
    return [each for each in sources(session, operation, act.station_id) if each.place is not Place.WAITING]


def _anywhere(session: orm.Session, act: Act, operation: LotOperation) -> list[Source]:
    held = Source(Place.HELD, operation.held)
    return [held, Source(Place.WAITING, operation.waiting), *_at_stations(session, act, operation)]


def _aside_moves(
    operation: LotOperation,
    found: Iterable[Source],
    pieces: int,
    target: Spot,
    reason: str,
    cause: LotOperation | None = None,
) -> list[Move]:
    found = list(found)
    there = sum(each.pieces for each in found)
    if not reason.strip():
        raise ReasonMissingError
    if not 1 <= pieces <= there:
        raise TooManyPiecesError(pieces, there, operation_name(operation))
    return [
        Move(
            operation.lot,
            taken.pieces,
            at(operation, taken.place),
            target,
            cause=cause,
            station_id=taken.station_id,
            reason=reason.strip(),
        )
        for taken in draw(found, pieces)
    ]
