"""Goods that come back: shipped pieces become a lot of their own, with the operations that are chosen for them."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from decimal import Decimal

from sqlalchemy import orm

from app.lots.errors import NoStepsError, ReasonMissingError, TooManyBackError
from app.lots.models import Lot, LotOperation, Place, Verb
from app.lots.queries.names import lot_name
from app.lots.queries.returned import taken_back
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, write
from app.lots.services.checks import refuse_unfit
from app.lots.services.release import Step, child_of, copy_operations, copy_plan
from app.parts.models import KindRole, OperationPlan, Taking
from app.shared.database import transaction
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class Inspection:
    """Looking at each piece before anything else: the kind of operation, where, and how long a piece takes."""

    kind_id: int
    work_center_id: int
    seconds: int


@dataclass(frozen=True, slots=True)
class ComeBack:
    """Pieces that came back.

    Attributes:
        lot_id: the lot that they left with.
        pieces: how many.
        reason: why, as the customer says.
        inspection: a plain inspection first, if any.
        operation_ids: those of the lot's own operations that are done again, in its order.
    """

    lot_id: int
    pieces: int
    reason: str
    inspection: Inspection | None = None
    operation_ids: tuple[int, ...] = ()


def take_back(session: orm.Session, act: Act, back: ComeBack) -> Lot:
    """Make a lot of shipped pieces that came back; they wait at the first operation chosen for them.

    What they left as stays shipped: that they left is still true.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyBackError: fewer were shipped, less those that came back before.
        NoStepsError: no operation is chosen.
        EntryRefusedError: a later area's check refuses it.
    """
    content = asdict(back)
    with transaction(session):
        origin = lock_lot(session, back.lot_id)
        answer = earlier_answer(session, act, Verb.TAKE_BACK, content)
        if answer is not None:
            return answer.entries[0].lot
        _check(session, origin, back)
        lot = child_of(
            *(session, act, origin),
            needed=back.pieces,
            due_on=None,
            rush=False,
            pin=None,
            is_return=True,
            start_reason=gettext("Came back: %(reason)s", reason=back.reason.strip()),
        )
        lot.operations = copy_operations(session, _steps(origin, back))
        for operation, former in zip(
            reversed(lot.operations), reversed(chosen_again(origin, back.operation_ids)), strict=False
        ):
            copy_plan(operation, former.characteristics)
        for place, operation in enumerate(lot.operations, start=1):
            operation.number = 10 * place
        session.add(lot)
        session.flush()
        first = at(lot.operations[0], Place.WAITING)
        move = Move(lot, back.pieces, Spot(Place.STARTED), first, other_lot_id=origin.id, reason=back.reason.strip())
        posting = write(session, act, Verb.TAKE_BACK, content, [move])
        refuse_unfit(session, posting.entries)
    return lot


def _check(session: orm.Session, origin: Lot, back: ComeBack) -> None:
    if not back.reason.strip():
        raise ReasonMissingError
    left = origin.shipped - taken_back(session, origin.id)
    if not 1 <= back.pieces <= left:
        raise TooManyBackError(lot_name(origin), left)
    if back.inspection is None and not chosen_again(origin, back.operation_ids):
        raise NoStepsError


def chosen_again(origin: Lot, operation_ids: tuple[int, ...]) -> list[LotOperation]:
    """Return the chosen ones among a lot's operations that can be done again, in the lot's order."""
    return [each for each in origin.operations if each.id in operation_ids and each.kind.role is not KindRole.BLANKS]


def _steps(origin: Lot, back: ComeBack) -> Iterator[Step]:
    if back.inspection is not None:
        yield Step(_inspecting(back.inspection), back.inspection.kind_id, back.inspection.work_center_id, [])
    for each in chosen_again(origin, back.operation_ids):
        yield Step(each, each.kind_id, each.work_center_id, each.sheets)


def _inspecting(inspection: Inspection) -> OperationPlan:
    plan = OperationPlan()
    for name in OperationPlan.PLANNED:
        setattr(plan, name, 0)
    plan.number, plan.title = 1, gettext("Inspect what came back")
    plan.expected_yield, plan.taking, plan.load_pieces = Decimal(1), Taking.SINGLE, 1
    plan.cycle_ms, plan.recipe, plan.instructions, plan.first_piece = 1000 * inspection.seconds, "", "", False
    return plan
