"""The 'done' form: what came out of one lot's operation, or of all lots of a batch at once."""

from collections.abc import Sequence

from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import NothingMarkedError
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.errors import NotOpenError
from app.lots.models import Posting
from app.lots.queries.jobs import job_at
from app.lots.queries.names import operation_name
from app.lots.services import SignOff


def sign_off_work(session: orm.Session, sent: Sent, results: Sequence[SignOff]) -> Posting:
    """Record what came out of work that is open at the station; lots of a batch with no piece named stay in work.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NothingMarkedError: no piece is named at all.
        LedgerError: it is not open here, or cannot be true.
    """
    named = [each for each in results if each.total]
    if not named:
        raise NothingMarkedError
    with working(session, sent) as (act, _):
        if queries.kept_posting(session, sent.key) is None:
            _check_open(session, sent, named)
        return ledger.sign_off(session, act, named)


def _check_open(session: orm.Session, sent: Sent, results: Sequence[SignOff]) -> None:
    for each in results:
        if job_at(session, each.operation_id, sent.station_id) is None:
            raise NotOpenError(operation_name(queries.operation_at(session, each.operation_id)))
