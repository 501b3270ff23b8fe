"""Releasing a lot: it gets its numbers, its own copy of the routing, and its first pieces."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, next_number
from app.lots.errors import ReleaseError
from app.lots.models import (
    Lot,
    LotCharacteristic,
    LotComponent,
    LotDelivery,
    LotOperation,
    LotSheet,
    Place,
    TravelerPrint,
    Verb,
)
from app.lots.queries.changes import issues
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.blanks import issue_at_hand
from app.lots.services.books import Move, Spot, at, write
from app.lots.services.checks import refuse_unfit
from app.orders.models import Delivery
from app.parts.models import (
    Characteristic,
    CharacteristicPlan,
    OperationFile,
    OperationPlan,
    Revision,
    Routing,
    RoutingOperation,
)
from app.shared.database import transaction
from app.shared.words import gettext

MOST_PIECES = 1_000_000


@dataclass(frozen=True, slots=True)
class Share:
    """Good pieces of the lot that are meant for a delivery."""

    delivery_id: int
    quantity: int


@dataclass(frozen=True, slots=True)
class NewLot:
    """What a person decides at release.

    Attributes:
        revision_id: what is made.
        needed: good pieces wanted at the end.
        to_start: pieces to start with.
        start_reason: why so many, as shown.
        shares: the deliveries it serves; none: it is for stock.
        due_on: for stock, a wished date.
        issue_blanks: issue blanks that are at hand, oldest first.
    """

    revision_id: int
    needed: int
    to_start: int
    start_reason: str = ""
    shares: tuple[Share, ...] = ()
    due_on: date | None = None
    issue_blanks: bool = True


def release_lot(session: orm.Session, act: Act, new: NewLot) -> Lot:
    """Release a lot: freeze the newest routing of the revision and start its pieces at the first operation.

    Raises:
        ReleaseError: no routing, no pieces, or a delivery of another revision.
        EntryRefusedError: a later area's check refuses it.
    """
    content = {"revision": new.revision_id, "start": new.to_start, "shares": [str(share) for share in new.shares]}
    with transaction(session):
        answer = earlier_answer(session, act, Verb.START, content)
        if answer is not None:
            return answer.entries[0].lot
        _check_quantities(new)
        deliveries = _deliveries(session, new)
        routing = newest_routing(session, new.revision_id)
        lot = _make_lot(session, act, new, routing, deliveries)
        lot.operations = copy_operations(session, lot_plan(routing))
        freeze_components(session, lot.revision_id, lot.operations)
        freeze_plan(session, lot.revision_id, lot.operations)
        session.add(lot)
        session.flush()
        first = at(lot.operations[0], Place.WAITING)
        start = write(session, act, Verb.START, content, [Move(lot, new.to_start, Spot(Place.STARTED), first)])
        if new.issue_blanks:
            issue_at_hand(session, act, lot)
        refuse_unfit(session, start.entries)
    return lot


def _check_quantities(new: NewLot) -> None:
    if not 1 <= new.to_start <= MOST_PIECES:
        raise ReleaseError(gettext("Start at least 1 and at most %(most)s pieces.", most=f"{MOST_PIECES:,}"))
    if not 0 <= new.needed <= MOST_PIECES:
        raise ReleaseError(gettext("The pieces needed must be between 0 and %(most)s.", most=f"{MOST_PIECES:,}"))


def _deliveries(session: orm.Session, new: NewLot) -> list[Delivery]:
    wanted = [share.delivery_id for share in new.shares]
    found = session.scalars(
        sa.select(Delivery).where(Delivery.id.in_(wanted)).options(orm.joinedload(Delivery.line))
    ).all()
    if len(found) != len(set(wanted)) or len(wanted) != len(set(wanted)):
        raise ReleaseError(gettext("A delivery is missing or was chosen twice. Choose the deliveries again."))
    for delivery in found:
        if delivery.line.revision_id != new.revision_id:
            raise ReleaseError(gettext("A delivery asks for another part or revision; release it as its own lot."))
        if delivery.closed_at is not None:
            raise ReleaseError(gettext("A delivery is closed already. Choose the deliveries again."))
    return list(found)


def _make_lot(session: orm.Session, act: Act, new: NewLot, routing: Routing, deliveries: list[Delivery]) -> Lot:
    due = min((delivery.leave_day for delivery in deliveries), default=new.due_on)
    return Lot(
        number=_next_lot_number(session),
        revision_id=new.revision_id,
        routing_id=routing.id,
        needed=new.needed,
        start_reason=new.start_reason,
        due_on=due,
        rush=any(delivery.line.rush for delivery in deliveries),
        released_at=act.happened_at,
        released_by_id=act.person_id,
        started=0,
        in_stock=0,
        shipped=0,
        in_other_lots=0,
        hold_reason="",
        deliveries=[LotDelivery(delivery_id=share.delivery_id, quantity=share.quantity) for share in new.shares],
    )


def _next_lot_number(session: orm.Session) -> int:
    last = session.scalars(sa.select(sa.func.max(Lot.number))).one() or 0
    return next_number(CodeKind.LOT, last)


def newest_routing(session: orm.Session, revision_id: int) -> Routing:
    """Return the newest routing of a revision, which lots are made by.

    Raises:
        ReleaseError: it has none yet.
    """
    routing = session.scalars(
        sa.select(Routing)
        .where(Routing.revision_id == revision_id)
        .order_by(Routing.version.desc())
        .limit(1)
        .options(orm.selectinload(Routing.operations).selectinload(RoutingOperation.files))
    ).one_or_none()
    if routing is None or not routing.operations:
        raise ReleaseError(gettext("This revision has no routing yet. Write its operations first."))
    return routing


@dataclass(frozen=True, slots=True)
class Step:
    """An operation to copy into a lot, with the sheets that hang there now."""

    plan: OperationPlan
    kind_id: int
    work_center_id: int | None
    sheets: Sequence[OperationFile | LotSheet]
    skipped: bool = False


def lot_plan(routing: Routing) -> list[Step]:
    """Return the steps of a routing for a new lot."""
    return [Step(each, each.kind_id, each.work_center_id, each.files) for each in routing.operations]


def copy_operations(session: orm.Session, steps: Iterable[Step]) -> list[LotOperation]:
    """Copy steps into new operations with scan codes of their own; no pieces are there yet."""
    number = session.scalars(sa.select(sa.func.max(LotOperation.code_number))).one() or 0
    copies = []
    for step in steps:
        number = next_number(CodeKind.OPERATION, number)
        copies.append(
            LotOperation(
                code_number=number,
                kind_id=step.kind_id,
                work_center_id=step.work_center_id,
                skipped=step.skipped,
                removed=False,
                measured=False,
                sheets=[LotSheet(file_id=one.file_id, title=one.title, position=one.position) for one in step.sheets],
                **{name: getattr(step.plan, name) for name in OperationPlan.PLANNED},
                **dict.fromkeys(("waiting", "in_work", "counted", "held", "scrapped", "at_vendor", "passed"), 0),
            )
        )
    return copies


def freeze_components(session: orm.Session, revision_id: int, operations: Iterable[LotOperation]) -> None:
    """Copy what a revision's operations take into a lot's operations of the same numbers."""
    revision = session.get_one(Revision, revision_id)
    by_number = {operation.number: operation for operation in operations}
    for component in revision.components:
        operation = by_number.get(component.operation_number)
        if operation is not None:
            operation.components.append(LotComponent(part_id=component.part_id, per_piece=component.per_piece))


def freeze_plan(session: orm.Session, revision_id: int, operations: Iterable[LotOperation]) -> None:
    """Copy the control plan of a revision into a lot's operations of the same numbers."""
    by_number = {operation.number: operation for operation in operations}
    for each in session.scalars(PLAN_OF, {"revision_id": revision_id}):
        operation = by_number.get(each.operation_number)
        if operation is not None:
            _freeze(operation, each, each.id)


PLAN_OF = sa.select(Characteristic).where(
    Characteristic.revision_id == sa.bindparam("revision_id"), ~Characteristic.retired
)


def copy_plan(operation: LotOperation, frozen: Iterable[LotCharacteristic]) -> None:
    """Let an operation measure what a lot's other operation does."""
    for each in frozen:
        _freeze(operation, each, each.characteristic_id)


def _freeze(operation: LotOperation, plan: CharacteristicPlan, characteristic_id: int) -> None:
    planned = {name: getattr(plan, name) for name in CharacteristicPlan.PLANNED}
    operation.characteristics.append(LotCharacteristic(characteristic_id=characteristic_id, **planned))
    operation.measured = True


def child_of(session: orm.Session, act: Act, parent: Lot, **facts: Any) -> Lot:
    """Return a lot with a fresh number that comes from another one, not stored yet, without operations and pieces."""
    made: dict[str, Any] = {name: getattr(parent, name) for name in ("due_on", "rush", "pin", "is_return")}
    return Lot(
        number=_next_lot_number(session),
        revision_id=parent.revision_id,
        routing_id=parent.routing_id,
        parent_id=parent.id,
        hold_reason="",
        released_at=act.happened_at,
        released_by_id=act.person_id,
        started=0,
        in_stock=0,
        shipped=0,
        in_other_lots=0,
        **({"needed": 0} | made | facts),
    )


def new_lot_like(session: orm.Session, act: Act, parent: Lot) -> Lot:
    """Make a lot with a fresh number and a copy of another lot's operations; it has no pieces yet."""
    child = child_of(session, act, parent)
    steps = [Step(each, each.kind_id, each.work_center_id, each.sheets, each.skipped) for each in parent.operations]
    child.operations = copy_operations(session, steps)
    for mine, theirs in zip(child.operations, parent.operations, strict=True):
        mine.components = [LotComponent(part_id=each.part_id, per_piece=each.per_piece) for each in theirs.components]
        if theirs.measured:
            copy_plan(mine, theirs.characteristics)
    session.add(child)
    session.flush()
    return child


def note_print(session: orm.Session, act: Act, lot_id: int) -> TravelerPrint:
    """Keep when and by whom a traveler was printed."""
    with transaction(session):
        issue = issues(session, [lot_id])[lot_id]
        made = TravelerPrint(lot_id=lot_id, printed_at=act.recorded_at, printed_by_id=act.person_id, issue=issue)
        session.add(made)
    return made


def note_files(session: orm.Session, lot_ids: Sequence[int], shown: datetime) -> None:
    """Note that the travelers of some lots, as of a moment, lie among the paper files, in place of those before."""
    with transaction(session):
        session.execute(sa.delete(TravelerPrint).where(TravelerPrint.in_files))
        current = issues(session, lot_ids)
        session.add_all(
            TravelerPrint(lot_id=lot_id, printed_at=shown, in_files=True, issue=current[lot_id]) for lot_id in lot_ids
        )
