"""Pieces wanted at an operation that the books still have before it: not signed off there, or without blanks."""

from sqlalchemy import orm

from app.lots.errors import (
    BlanksAtHand,
    BlanksNotIssuedError,
    BlanksNotReceivedError,
    EarlierNotSignedOffError,
    NothingHereError,
    PiecesHeldError,
    TooManyPiecesError,
)
from app.lots.models import LotOperation
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.blanks import blanks_operation
from app.material.queries import receipts_at_hand


def check_waiting(session: orm.Session, operation: LotOperation) -> None:
    """Refuse to begin where no piece waits, saying where they are instead.

    Raises:
        PiecesHeldError: those that are here are held.
        EarlierNotSignedOffError: they stand at an earlier operation.
        BlanksNotIssuedError, BlanksNotReceivedError: no more than their blanks have been asked for.
        NothingHereError: there are none.
    """
    if operation.waiting:
        return
    if operation.held:
        raise PiecesHeldError(operation.held, operation_name(operation))
    begun, without_blanks = begun_before(operation), without_blanks_before(operation)
    if begun:
        raise EarlierNotSignedOffError(begun, operation_name(_nearest(operation)), operation.id)
    if without_blanks:
        refuse_without_blanks(session, operation, without_blanks)
    raise NothingHereError(operation_name(operation))


def refuse_too_many(session: orm.Session, operation: LotOperation, asked: int, there: int) -> None:
    """Refuse pieces that are not there, saying whether the books have them before this operation.

    Raises:
        EarlierNotSignedOffError: an earlier operation has them.
        BlanksNotIssuedError, BlanksNotReceivedError: some of them have no blanks yet.
        TooManyPiecesError: the lot has no more.
    """
    missing, begun = asked - there, begun_before(operation)
    if missing <= begun:
        raise EarlierNotSignedOffError(missing, operation_name(_nearest(operation)), operation.id)
    if missing <= begun + without_blanks_before(operation):
        refuse_without_blanks(session, operation, missing)
    raise TooManyPiecesError(asked, there, operation_name(operation))


def refuse_without_blanks(session: orm.Session, operation: LotOperation, missing: int) -> None:
    """Refuse pieces of which the books do not know the blanks: it must be said which receipt, and heat, they are of.

    Raises:
        BlanksNotIssuedError: naming the receipts with such blanks at hand.
        BlanksNotReceivedError: there are none.
    """
    lot = operation.lot
    begun = begun_before(operation)
    without = missing - begun
    receipts = receipts_at_hand(session, revision_id=lot.revision_id)
    if not receipts:
        raise BlanksNotReceivedError(without, lot_name(lot))
    ordering = blanks_operation(lot)
    between = [each for each in before(operation) if ordering is not None and each.number > ordering.number]
    raise BlanksNotIssuedError(
        without,
        lot.id,
        begun,
        operation.id if between else None,
        tuple(BlanksAtHand(each.id, each.code, each.heat, each.at_hand) for each in receipts),
    )


def before(operation: LotOperation) -> list[LotOperation]:
    """Return the lot's earlier operations, without those that it passes over."""
    return [each for each in operation.lot.operations if each.number < operation.number and not each.skipped]


def begun_before(operation: LotOperation) -> int:
    """Return how many pieces with blanks stand at earlier operations and are not held."""
    ordering = blanks_operation(operation.lot)
    return sum(movable(each) for each in before(operation) if each is not ordering)


def without_blanks_before(operation: LotOperation) -> int:
    """Return how many pieces stand at an earlier operation that orders their blanks, and are not held."""
    ordering = blanks_operation(operation.lot)
    return movable(ordering) if ordering is not None and ordering.number < operation.number else 0


def movable(operation: LotOperation) -> int:
    """Return how many pieces are at an operation and not held."""
    return operation.waiting + operation.in_work + operation.counted


def _nearest(operation: LotOperation) -> LotOperation:
    return next(each for each in reversed(before(operation)) if movable(each))
