"""What is said of work that is open: it runs, pauses, is handed over or taken off, its first piece is good."""

from dataclasses import replace
from enum import StrEnum

from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import MayNotCheckError
from app.floor.services.sent import Sent, working
from app.floor.services.undoing import MAY_DECIDE
from app.lots import services as ledger
from app.lots.models import Posting
from app.people.models import Person
from app.quality.services import refuse_run


class Mark(StrEnum):
    """A mark that needs nothing but a tap; the value is its place in addresses."""

    RUN = "runs"
    PAUSE = "pauses"
    HAND_OVER = "hand-overs"
    TAKE_OFF = "take-offs"


SERVICES = {
    Mark.RUN: ledger.run,
    Mark.PAUSE: ledger.pause,
    Mark.HAND_OVER: ledger.hand_over,
    Mark.TAKE_OFF: ledger.take_off,
}


def add_mark(session: orm.Session, sent: Sent, operation_id: int, mark: Mark) -> Posting:
    """Make a mark at an operation that is open here; of a batch, at all of its lots.

    Raises:
        NobodySignedOnError: nobody is signed on.
        FirstPieceNotGoodError: it is to run, and the control plan waits for a good first piece.
        LedgerError: it is not open here, on hold, or the station is full.
    """
    with working(session, sent) as act:
        if mark is Mark.RUN:
            refuse_run(session, act, queries.operation_at(session, operation_id))
        return SERVICES[mark](session, act, operation_id)


def find_first_piece_good(session: orm.Session, sent: Sent, operation_id: int, checker: Person | None) -> Posting:
    """Record that the first piece is good, found so by ``checker``, who has proved it; None: by the person who acts.

    Raises:
        NobodySignedOnError: nobody is signed on.
        MayNotCheckError: the checker may not.
        LedgerError: it is not open here, or on hold.
    """
    with working(session, sent) as act:
        if checker is not None and checker.id != act.person_id and not checker.has_role(*MAY_DECIDE):
            raise MayNotCheckError(checker.name)
        by_both = replace(act, person_id=checker.id if checker else act.person_id, recorded_by_id=act.person_id)
        return ledger.first_piece_good(session, by_both, operation_id)
