"""Changing a released lot: operations that are not begun are added, skipped, wanted again or moved.

Each change is a mark in the ledger with its reason and, in words, what changed. What is put where pieces wait already
takes them back to it; what is skipped lets them go on. A change is undone by changing again.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import orm
from sqlalchemy.orm.attributes import set_committed_value

from app.lots.errors import ChangeError, OperationNotFoundError, ReasonMissingError
from app.lots.models import Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.changes import is_begun, left_from
from app.lots.queries.names import lot_name
from app.lots.queries.verify import passed_by_ledger
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, at, lock_lot, write
from app.lots.services.release import Step, copy_operations
from app.parts.models import KindRole, OperationKind, RoutingOperation, Taking
from app.shared.database import transaction
from app.shared.words import gettext
from app.stations.queries import get_work_center

GAP = 10
HIGHEST_NUMBER = 999
ONE_BY_ONE = {
    "setup_family": "",
    "family_setup_seconds": 0,
    "tend_percent": 0,
    "setup_loss": 0,
    "expected_yield": Decimal(1),
    "load_pieces": 1,
    "load_ms": 0,
    "unload_ms": 0,
    "batch_grams": 0,
    "recipe": "",
    "wait_minutes": 0,
    "send_ahead": 0,
    "first_piece": False,
}
"""How an added operation takes its pieces, and what it needs nothing of."""


@dataclass(frozen=True, slots=True)
class NewOperation:
    """An operation that is added to one lot alone.

    Attributes:
        after_id: the operation it comes after; None: before all.
        title: what is done.
        kind_id: its kind: done at a station, or by others.
        work_center_id: whose stations do it; None where others do.
        setup_seconds: to set up.
        cycle_ms: machine time of a piece.
        lead_days: calendar days, where others do it.
        instructions: for who does it.
    """

    after_id: int | None
    title: str
    kind_id: int
    work_center_id: int | None
    setup_seconds: int = 0
    cycle_ms: int = 0
    lead_days: int = 0
    instructions: str = ""


def add_operation(session: orm.Session, act: Act, lot_id: int, new: NewOperation) -> Posting:
    """Add an operation to a lot; pieces that wait at the one after it wait at the new one then.

    Raises:
        ReasonMissingError: no reason is given (``act.note``).
        ChangeError: an operation after it is begun, or no number is free there.
        OperationNotFoundError: ``new.after_id`` is not one of the lot's.
    """

    def change(lot: Lot) -> tuple[LotOperation, str]:
        place = _place_after(lot, new.after_id)
        _check_not_passed(session, lot, place)
        added = _made(session, new, number_at(lot.operations, place))
        lot.operations.insert(place, added)
        return added, gettext("op %(number)s %(title)s added", number=added.number, title=added.title)

    return change_lot(session, act, lot_id, {"add": asdict(new)}, change)


def skip_operation(session: orm.Session, act: Act, lot_id: int, operation_id: int) -> Posting:
    """Skip an operation that is not begun: pieces pass over it.

    Raises:
        ReasonMissingError: no reason is given.
        ChangeError: it is begun, skipped already, orders the blanks, or is the last that would be left.
        OperationNotFoundError: it is not one of the lot's.
    """

    def change(lot: Lot) -> tuple[LotOperation, str]:
        operation = operation_of(lot, operation_id)
        check_not_begun(operation)
        if operation.skipped:
            raise ChangeError(gettext("Op %(number)s is skipped already.", number=operation.number))
        left = [each for each in lot.operations if not each.skipped and each is not operation]
        if not left or (operation.waiting and operation.number > left[-1].number):
            raise ChangeError(gettext("No operation would be left for the pieces. Add another one first."))
        operation.skipped = True
        return operation, gettext("op %(number)s %(title)s skipped", number=operation.number, title=operation.title)

    return change_lot(session, act, lot_id, {"skip": operation_id}, change)


def want_operation(session: orm.Session, act: Act, lot_id: int, operation_id: int) -> Posting:
    """Do an operation after all that was skipped, as long as no piece has passed it.

    Raises:
        ReasonMissingError: no reason is given.
        ChangeError: it is not skipped, or pieces have passed it.
        OperationNotFoundError: it is not one of the lot's.
    """

    def change(lot: Lot) -> tuple[LotOperation, str]:
        operation = operation_of(lot, operation_id)
        if not operation.skipped:
            raise ChangeError(gettext("Op %(number)s is not skipped.", number=operation.number))
        _check_not_passed(session, lot, lot.operations.index(operation))
        operation.skipped, operation.passed = False, 0  # the pieces that passed over it wait behind it: they come back
        words = gettext("op %(number)s %(title)s is done after all", number=operation.number, title=operation.title)
        return operation, words

    return change_lot(session, act, lot_id, {"want": operation_id}, change)


def move_operation(session: orm.Session, act: Act, lot_id: int, operation_id: int, after_id: int | None) -> Posting:
    """Do an operation that is not begun at another place of the order; its number falls between those around it.

    Raises:
        ReasonMissingError: no reason is given.
        ChangeError: it, or one after its new place, is begun; it stands there already; or no number is free.
        OperationNotFoundError: one of the two is not one of the lot's.
    """

    def change(lot: Lot) -> tuple[LotOperation, str]:
        operation = operation_of(lot, operation_id)
        check_not_begun(operation)
        before = lot.operations.index(operation)
        _check_not_passed(session, lot, before)
        others = [each for each in lot.operations if each is not operation]
        place = 0 if after_id is None else others.index(_other(lot, operation, after_id)) + 1
        _check_not_passed(session, lot, place)
        if place == before:
            raise ChangeError(gettext("Op %(number)s stands there already.", number=operation.number))
        old, operation.number = operation.number, number_at(others, place)
        lot.operations.sort(key=lambda each: each.number)
        words = gettext(
            "op %(old)s %(title)s moved, now op %(number)s", old=old, title=operation.title, number=operation.number
        )
        return operation, words

    return change_lot(session, act, lot_id, {"move": operation_id, "after": after_id}, change)


Change = Callable[[Lot], tuple[LotOperation, str]]


def change_lot(session: orm.Session, act: Act, lot_id: int, content: dict[str, Any], change: Change) -> Posting:
    """Run a change of a lot once for its key, and let the pieces that wait follow it.

    Args:
        session: the database session.
        act: who, when, with the reason.
        lot_id: the lot.
        content: what is asked for; the same key with other content is refused.
        change: changes the lot and returns the operation that it is about, and what it did in words.

    Raises:
        ReasonMissingError, ChangeError: it cannot be changed so.
    """
    content = {"lot": lot_id, **content}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.CHANGE_LOT, content)
        if answer is not None:
            return answer
        check_can_change(act, lot)
        with session.no_autoflush:
            operation, words = change(lot)
        return note_change(session, act, lot, content, operation, words)


def check_can_change(act: Act, lot: Lot) -> None:
    """Refuse a change without a reason, and one of a finished lot.

    Raises:
        ReasonMissingError, ChangeError: it is one.
    """
    if not act.note.strip():
        raise ReasonMissingError
    if lot.closed_at is not None:
        raise ChangeError(gettext("Lot %(lot)s is finished: no operation of it is left to change.", lot=lot_name(lot)))


def note_change(
    session: orm.Session, act: Act, lot: Lot, content: dict[str, Any], operation: LotOperation, words: str
) -> Posting:
    """Write a change into the ledger: its mark with the words, and the pieces that wait where they are wanted now.

    ``lot.operations`` are already in their new order; removed ones still stand among them.
    """
    session.flush()
    here = at(operation, Place.WAITING)
    moves = [Move(lot, 0, here, here, reason=words), *_following(lot)]
    passed = passed_by_ledger(session, lot)
    for each in lot.operations:  # in the new order each is passed by others than before: the ledger says by how many
        each.passed = passed[each.id]
    return write(session, act, Verb.CHANGE_LOT, content, moves)


def _following(lot: Lot) -> Iterator[Move]:
    """Move what waits at an operation not begun to the first that it is to pass now."""
    for operation in lot.operations:
        first = _first_for(lot, operation) if operation.waiting else operation
        if first is not operation:
            yield Move(lot, operation.waiting, at(operation, Place.WAITING), at(first, Place.WAITING))


def _first_for(lot: Lot, operation: LotOperation) -> LotOperation:
    """Return where pieces that wait at an operation, which nothing has passed, are to wait."""
    if is_begun(operation):
        return operation
    begun = max((place for place, each in enumerate(lot.operations) if is_begun(each)), default=-1)
    return next(each for each in lot.operations[begun + 1 :] if not each.skipped)


def check_not_begun(operation: LotOperation) -> None:
    """Refuse to change an operation that is begun.

    Raises:
        ChangeError: it is.
    """
    if operation.kind.role is KindRole.BLANKS:
        raise ChangeError(gettext("Op %(number)s orders the blanks: it stays where it is.", number=operation.number))
    if is_begun(operation):
        raise ChangeError(
            gettext(
                "Op %(number)s is begun: pieces are in work, held, scrapped or away there, or have passed it.",
                number=operation.number,
            )
        )


def _check_not_passed(session: orm.Session, lot: Lot, place: int) -> None:
    """Refuse another order before operations that are begun, or from which pieces went into another lot."""
    left = left_from(session, lot.id)
    for operation in lot.operations[place:]:
        if is_begun(operation) or operation.id in left:
            raise ChangeError(
                gettext(
                    "Op %(number)s %(title)s is begun, or pieces left the lot there. Choose a place after it.",
                    number=operation.number,
                    title=operation.title,
                )
            )


def operation_of(lot: Lot, operation_id: int) -> LotOperation:
    """Return one of the lot's operations.

    Raises:
        OperationNotFoundError: it is none of them.
    """
    for each in lot.operations:
        if each.id == operation_id:
            return each
    raise OperationNotFoundError(str(operation_id))


def _other(lot: Lot, operation: LotOperation, after_id: int) -> LotOperation:
    after = operation_of(lot, after_id)
    if after is operation:
        raise ChangeError(gettext("Op %(number)s stands there already.", number=operation.number))
    return after


def _place_after(lot: Lot, after_id: int | None) -> int:
    return 0 if after_id is None else lot.operations.index(operation_of(lot, after_id)) + 1


def number_at(operations: Sequence[LotOperation], place: int) -> int:
    """Return a number for what comes at a place between others: halfway, or ten after the last.

    Raises:
        ChangeError: none is free.
    """
    low = operations[place - 1].number if place else 0
    if place < len(operations):
        number = (low + operations[place].number) // 2
    else:
        number = min(low - low % GAP + GAP, HIGHEST_NUMBER)
    if number <= low:
        raise ChangeError(gettext("No number is free after op %(number)s. Choose another place.", number=low))
    return number


def _made(session: orm.Session, new: NewOperation, number: int) -> LotOperation:
    kind = session.get(OperationKind, new.kind_id)
    if kind is None or kind.role is KindRole.BLANKS:
        raise ChangeError(gettext("Choose a kind that is done at a station or by others: blanks are ordered once."))
    at_station = kind.role is KindRole.STATION
    if at_station and new.work_center_id is None:
        raise ChangeError(gettext("Choose the work center that does it."))
    center = get_work_center(session, new.work_center_id) if at_station and new.work_center_id else None
    plan = RoutingOperation(
        **ONE_BY_ONE,
        number=number,
        title=new.title.strip() or kind.name,
        instructions=new.instructions,
        taking=Taking.SINGLE if at_station else Taking.LEAD_TIME,
        setup_seconds=new.setup_seconds if at_station else 0,
        cycle_ms=new.cycle_ms if at_station else 0,
        lead_days=0 if at_station else new.lead_days,
    )
    [added] = copy_operations(session, [Step(plan, kind.id, center.id if center else None, ())])
    set_committed_value(added, "kind", kind)  # asked for before the lot is stored
    return added
