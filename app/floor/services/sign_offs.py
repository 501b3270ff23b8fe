"""The 'done' form: what came out of one lot's operation, or of all lots of a batch at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import orm

from app.floor.errors import NothingMarkedError
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.models import LotOperation
from app.lots.queries.names import lot_name
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
    with working(session, sent) as act:
        posting = ledger.sign_off(session, act, named, only_open=True)
        operations = {each.from_operation_id: each.from_operation for each in posting.entries}
        return [_signed_off(operations[each.operation_id], each) for each in named]


def _signed_off(operation: LotOperation | None, result: SignOff) -> SignedOff:
    assert operation is not None  # noqa: S101 - for the type checker: pieces leave an operation
    return SignedOff(lot_name(operation.lot), operation.number, result)
