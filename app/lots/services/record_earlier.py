"""Recording late that pieces had passed earlier operations: the truth where the floor was ahead of the books."""

from collections.abc import Iterator

from sqlalchemy import orm

from app.lots.errors import TooManyPiecesError
from app.lots.models import LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import Source, draw, sources
from app.lots.queries.names import operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.begin import check_can_work
from app.lots.services.books import Move, at, lock_operations, next_spot, write
from app.lots.services.checks import refuse_unfit
from app.lots.services.missing import before, begun_before, refuse_without_blanks, without_blanks_before
from app.shared.database import transaction


def record_earlier(session: orm.Session, act: Act, operation_id: int, pieces: int) -> Posting:
    """Record late that earlier operations passed ``pieces``, so that they wait at this one; the review shows it.

    Raises:
        LotOnHoldError: the lot is on hold.
        TooManyPiecesError: earlier operations have fewer pieces that are not held.
        BlanksNotIssuedError, BlanksNotReceivedError: so many have no blanks yet; issue them first.
        EntryRefusedError: a later area's check refuses it.
    """
    content = {"operation": operation_id, "pieces": pieces}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, Verb.RECORD_LATE, content)
        if answer is not None:
            return answer
        check_can_work(operation)
        _check_begun(session, operation, pieces)
        posting = write(session, act, Verb.RECORD_LATE, content, list(_late_moves(session, operation, pieces)))
        refuse_unfit(session, posting.entries)
        return posting


def _check_begun(session: orm.Session, operation: LotOperation, pieces: int) -> None:
    begun = begun_before(operation)
    there = begun + without_blanks_before(operation)
    if not 0 < pieces <= there:
        raise TooManyPiecesError(pieces, there, operation_name(operation))
    if pieces > begun:
        refuse_without_blanks(session, operation, pieces)


def _late_moves(session: orm.Session, operation: LotOperation, pieces: int) -> Iterator[Move]:
    """Find enough pieces walking back from the nearest operation, then pass them forward through each one."""
    passing: list[tuple[LotOperation, list[Source], int]] = []
    for earlier in reversed(before(operation)):
        found = sources(session, earlier, None)
        passing.append((earlier, found, pieces))
        pieces -= min(pieces, sum(each.pieces for each in found))
        if pieces == 0:
            break
    carried = 0
    for earlier, found, leaving in reversed(passing):
        found.append(Source(Place.WAITING, carried))
        for taken in draw(found, leaving):
            origin = at(earlier, taken.place)
            yield Move(earlier.lot, taken.pieces, origin, next_spot(earlier), station_id=taken.station_id)
        carried = leaving
