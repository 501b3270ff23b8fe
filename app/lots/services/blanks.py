"""Issuing blanks to a lot: the blank-ordering operation is done by receipts."""

from dataclasses import replace

from sqlalchemy import orm

from app.lots.errors import NotTheBlankError, TooManyPiecesError
from app.lots.models import Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, next_spot, write
from app.material import queries as material_queries
from app.material import services as material_services
from app.material.errors import ReceiptNotFoundError
from app.material.models import Receipt
from app.parts.models import KindRole
from app.people.models import Person
from app.shared.database import transaction


def issue_blanks(session: orm.Session, act: Act, lot_id: int, receipt_id: int, pieces: int) -> Posting:
    """Issue blanks of a receipt to a lot; that many pieces may begin.

    Where the routing has no blank-ordering operation the pieces wait at the first one already, and the entry keeps
    which receipt, and so which heat, they are of.

    Raises:
        NotTheBlankError: the receipt holds no blanks of the lot's revision.
        TooManyPiecesError: the lot waits for fewer blanks.
        NotAtHandError: the receipt has fewer at hand.
    """
    content = {"lot": lot_id, "receipt": receipt_id, "pieces": pieces}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.ISSUE_BLANKS, content)
        if answer is not None:
            return answer
        receipt = session.get(Receipt, receipt_id)
        if receipt is None:
            raise ReceiptNotFoundError
        if receipt.revision_id != lot.revision_id:
            raise NotTheBlankError(receipt.code, receipt.item, lot_name(lot))
        wanted = blanks_wanted(session, lot)
        if not 1 <= pieces <= wanted:
            raise TooManyPiecesError(pieces, wanted, lot_name(lot))
        by = session.get(Person, act.person_id) if act.person_id else None
        material_services.issue(session, receipt_id, lot_id, pieces, by=by, now=act.recorded_at)
        return write(session, act, Verb.ISSUE_BLANKS, content, [_issue_move(lot, receipt_id, pieces)])


def start_fewer(session: orm.Session, act: Act, lot_id: int, pieces: int) -> Posting:
    """Start so many pieces fewer than at release, because their blanks will not come; they wait at the first operation.

    Raises:
        TooManyPiecesError: fewer wait there.
    """
    content = {"lot": lot_id, "fewer": pieces}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.START_FEWER, content)
        if answer is not None:
            return answer
        first = first_operation(lot)
        if not 1 <= pieces <= first.waiting:
            raise TooManyPiecesError(pieces, first.waiting, operation_name(first))
        move = Move(lot, pieces, at(first, Place.WAITING), Spot(Place.STARTED))
        return write(session, act, Verb.START_FEWER, content, [move])


def _issue_move(lot: Lot, receipt_id: int, pieces: int) -> Move:
    ordering = blanks_operation(lot)
    here = at(ordering or first_operation(lot), Place.WAITING)
    return Move(lot, pieces, here, next_spot(ordering) if ordering else here, receipt_id=receipt_id)


def first_operation(lot: Lot) -> LotOperation:
    """Return the first operation that the lot does not pass over; a change leaves at least one."""
    return next(each for each in lot.operations if not each.skipped)


def blanks_operation(lot: Lot) -> LotOperation | None:
    """Return the lot's blank-ordering operation, where its routing has one."""
    return next((each for each in lot.operations if each.kind.role is KindRole.BLANKS), None)


def blanks_wanted(session: orm.Session, lot: Lot) -> int:
    """Return how many blanks the lot still waits for."""
    if blanks_operation(lot) is not None:
        return still_wanted(lot, 0)
    return still_wanted(lot, sum(held.pieces for held in material_queries.issued_to_lot(session, lot.id)))


def still_wanted(lot: Lot, issued: int) -> int:
    """Return how many blanks a lot waits for: those at its blank-ordering operation.

    Where it has none, the ``issued`` pieces have their heat on record and those that wait at the first operation may
    still be given theirs. Pieces that came back from a customer take none.
    """
    if lot.is_return:
        return 0
    ordering = blanks_operation(lot)
    if ordering is not None:
        return ordering.waiting
    return max(0, min(lot.started - issued, first_operation(lot).waiting))


def issue_at_hand(session: orm.Session, act: Act, lot: Lot) -> None:
    """Issue what is at hand of the lot's blank, oldest receipt first, until the lot has enough."""
    for receipt in material_queries.receipts_at_hand(session, revision_id=lot.revision_id):
        pieces = min(receipt.at_hand, blanks_wanted(session, lot))
        if pieces:
            issue_blanks(session, replace(act, key=f"{act.key}/receipt {receipt.id}"), lot.id, receipt.id, pieces)
