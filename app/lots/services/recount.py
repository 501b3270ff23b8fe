"""Counts that do not agree with the books: pieces that are missing or found, with the reason and who counted."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass

from sqlalchemy import orm

from app.lots.errors import CountAgreesError, CountChangedError, OperationNotFoundError, ReasonMissingError
from app.lots.models import Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import Source, draw, sources
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, write
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class Count:
    """What somebody counted at one place of a lot.

    Attributes:
        operation_id: the operation; None: finished pieces in stock.
        pieces: how many are really there.
        in_the_books: how many the books had when the person was asked.
        reason: why they differ, as far as anybody knows.
    """

    operation_id: int | None
    pieces: int
    in_the_books: int
    reason: str


def recount(session: orm.Session, act: Act, lot_id: int, count: Count) -> Posting:
    """Put the books right after a count: what is missing leaves them, what was found comes in and waits.

    ``act.person_id`` is who counted. Missing pieces are taken from those that wait first, then from open jobs, held
    ones last.

    Raises:
        ReasonMissingError: no reason is given.
        CountAgreesError: the books say the same.
        CountChangedError: the books changed while the person counted.
        OperationNotFoundError: the operation is not one of the lot's.
    """
    content = {"lot": lot_id, **asdict(count)}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.RECOUNT, content)
        if answer is not None:
            return answer
        operation = _operation(lot, count.operation_id)
        _check(lot, operation, count)
        return write(session, act, Verb.RECOUNT, content, list(_moves(session, lot, operation, count)))


def _operation(lot: Lot, operation_id: int | None) -> LotOperation | None:
    if operation_id is None:
        return None
    found = next((each for each in lot.operations if each.id == operation_id), None)
    if found is None:
        raise OperationNotFoundError(str(operation_id))
    return found


def _check(lot: Lot, operation: LotOperation | None, count: Count) -> None:
    now = operation.present if operation else lot.in_stock
    if not count.reason.strip():
        raise ReasonMissingError
    if now != count.in_the_books:
        raise CountChangedError(now)
    if now == count.pieces:
        raise CountAgreesError(now)


def _moves(session: orm.Session, lot: Lot, operation: LotOperation | None, count: Count) -> Iterator[Move]:
    outside, reason = Spot(Place.RECOUNTED), count.reason.strip()
    more = count.pieces - count.in_the_books
    if more > 0:
        target = at(operation, Place.WAITING) if operation else Spot(Place.IN_STOCK)
        yield Move(lot, more, outside, target, reason=reason)
    elif operation is None:
        yield Move(lot, -more, Spot(Place.IN_STOCK), outside, reason=reason)
    else:
        found = [*sources(session, operation, None), Source(Place.HELD, operation.held)]
        for taken in draw(found, -more):
            origin = at(operation, taken.place)
            yield Move(lot, taken.pieces, origin, outside, station_id=taken.station_id, reason=reason)
