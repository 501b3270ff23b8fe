"""The 'done' form: what came out of one lot's operation, or of all lots of a batch at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import NothingMarkedError
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.errors import NotOpenError
from app.lots.models import LotOperation
from app.lots.queries.jobs import job_at
from app.lots.queries.names import lot_name, operation_name
from app.lots.services import SignOff


@dataclass(frozen=True, slots=True)
class SignedOff:
    """What was recorded of one lot: its name, the operation's number, and the result."""

    lot: str
    number: int
    result: SignOff


def sign_off_work(session: orm.Session, sent: Sent, results: Sequence[SignOff]) -> list[SignedOff]:
    """Record what came out of work that is open at the station; lots of a batch with no piece named stay in work.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NothingMarkedError: no piece is named at all.
        OperationNotFoundError: an operation does not exist.
        LedgerError: it is not open here, or cannot be true.
    """
    named = [each for each in results if each.total]
    if not named:
        raise NothingMarkedError
    with working(session, sent) as (act, _):
        _check_open(session, sent, named)
        ledger.sign_off(session, act, named)
        return [_signed_off(session.get_one(LotOperation, each.operation_id), each) for each in named]


def _check_open(session: orm.Session, sent: Sent, results: Sequence[SignOff]) -> None:
    """Refuse work that is not open here, unless this very form has closed it before."""
    for each in results:
        if job_at(session, each.operation_id, sent.station_id) is None:
            if queries.kept_posting(session, sent.key) is not None:
                return
            raise NotOpenError(operation_name(queries.operation_at(session, each.operation_id)))


def _signed_off(operation: LotOperation, result: SignOff) -> SignedOff:
    return SignedOff(lot_name(operation.lot), operation.number, result)
