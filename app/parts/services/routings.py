"""Save a routing: every change makes a new version, the earlier ones stay as they were."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.errors import RoutingClashError, RoutingRefusedError, RowProblem
from app.parts.models import (
    Component,
    KindRole,
    OperationFile,
    OperationPlan,
    Revision,
    Routing,
    RoutingOperation,
    Taking,
)
from app.parts.services.routing_rules import NewOperation, RoutingContext, problems_of
from app.people.models import Person
from app.shared.database import transaction
from app.shared.words import gettext, moment

SAVED = (*OperationPlan.PLANNED, "kind_id", "work_center_id")


@dataclass(frozen=True, slots=True)
class NewRouting:
    """The operations of a routing in their order, and which version they were made from (0: none)."""

    operations: tuple[NewOperation, ...]
    base_version: int
    note: str = ""


def save_routing(
    session: orm.Session, revision_id: int, new: NewRouting, *, by: Person | None, now: datetime
) -> Routing:
    """Store the next version of a revision's routing; where nothing was changed, the newest stands.

    Components follow an operation that was given another number.

    Raises:
        RevisionNotFoundError: there is no such revision.
        RoutingRefusedError: rules are broken; it names each row and field.
        RoutingClashError: the newest version is not the one this was made from.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        newest = queries.routing_of(session, revision.id)
        _refuse_clash(session, revision.id, newest, new.base_version)
        roles = roles_of_kinds(session)
        context = RoutingContext.of(revision, roles, queries.shop_units(session))
        refuse_broken_rules(new.operations, context)
        operations = [settled(operation, context) for operation in new.operations]
        sources = _sources(session, revision.id, operations)
        _move_components(session, revision, operations, sources)
        made = [made_operation(operation, sources) for operation in operations]
        if newest is not None and _same(newest.operations, made):
            return newest
        return new_version(session, revision, made, by=by, now=now, note=new.note)


def roles_of_kinds(session: orm.Session) -> dict[int, KindRole]:
    """Return what each kind of operation means, by its key."""
    return {kind.id: kind.role for kind in queries.all_kinds(session)}


def refuse_broken_rules(operations: Sequence[NewOperation], context: RoutingContext) -> None:
    """Check the rules of a routing.

    Raises:
        RoutingRefusedError: some are broken.
    """
    problems = problems_of(operations, context)
    if problems:
        raise RoutingRefusedError(problems)


def settled(operation: NewOperation, context: RoutingContext) -> NewOperation:
    """Return the operation with only what its kind and its way of taking pieces need; the rest as if never typed."""
    role = context.roles[operation.kind_id]
    if role is not KindRole.STATION:
        blanks = role is KindRole.BLANKS
        return NewOperation(
            number=operation.number,
            kind_id=operation.kind_id,
            title=operation.title,
            expected_yield=Decimal(1) if blanks else operation.expected_yield,
            taking=Taking.LEAD_TIME,
            lead_days=operation.lead_days or (context.lead_days if blanks else 0),
            instructions=operation.instructions,
            source_id=operation.source_id,
        )
    batch = operation.taking is Taking.BATCH
    many = operation.taking is not Taking.SINGLE
    return replace(
        operation,
        load_pieces=operation.load_pieces if many else 1,
        load_ms=operation.load_ms if operation.taking in {Taking.LOAD, Taking.BAR} else 0,
        unload_ms=operation.unload_ms if operation.taking is Taking.LOAD else 0,
        wait_minutes=operation.wait_minutes if batch else 0,
        batch_grams=operation.batch_grams if batch else 0,
        recipe=operation.recipe if batch else "",
        lead_days=0,
    )


def made_operation(new: NewOperation, sources: Mapping[int, RoutingOperation]) -> RoutingOperation:
    """Return the row for an operation, with the files of the operation it was before."""
    source = sources.get(new.source_id or 0)
    return RoutingOperation(
        **{name: getattr(new, name) for name in SAVED}, files=copied_files(source) if source is not None else []
    )


def copied_operation(operation: RoutingOperation, *, with_files: bool) -> RoutingOperation:
    """Return a copy of an operation for another revision's routing."""
    return RoutingOperation(
        **{name: getattr(operation, name) for name in SAVED}, files=copied_files(operation) if with_files else []
    )


def copied_files(operation: RoutingOperation) -> list[OperationFile]:
    """Return copies of an operation's files: the same stored bytes in the same order."""
    return [OperationFile(file=each.file, title=each.title, position=each.position) for each in operation.files]


def new_version(
    session: orm.Session,
    revision: Revision,
    operations: list[RoutingOperation],
    *,
    by: Person | None,
    now: datetime,
    note: str = "",
) -> Routing:
    """Store the next version of a revision's routing; call it inside a transaction."""
    version = queries.newest_version(session, revision.id) + 1
    routing = Routing(
        revision=revision,
        version=version,
        created_at=now,
        created_by_id=by.id if by else None,
        note=note,
        operations=operations,
    )
    session.add(routing)
    session.flush()
    return routing


def _refuse_clash(session: orm.Session, revision_id: int, newest: Routing | None, base_version: int) -> None:
    if newest is None or newest.version == base_version:
        return
    latest = queries.routing_versions(session, revision_id)[0]
    raise RoutingClashError(latest.version, latest.created_by or gettext("Somebody"), moment(latest.created_at))


def _sources(session: orm.Session, revision_id: int, operations: Sequence[NewOperation]) -> dict[int, RoutingOperation]:
    """Return the operations of this revision's earlier versions that these were, by key, with their files."""
    wanted = [operation.source_id for operation in operations if operation.source_id is not None]
    found = (
        sa.select(RoutingOperation)
        .join(RoutingOperation.routing)
        .where(RoutingOperation.id.in_(wanted), Routing.revision_id == revision_id)
        .options(orm.selectinload(RoutingOperation.files).joinedload(OperationFile.file))
    )
    return {operation.id: operation for operation in session.scalars(found)}


def _move_components(
    session: orm.Session,
    revision: Revision,
    operations: Sequence[NewOperation],
    sources: Mapping[int, RoutingOperation],
) -> None:
    """Let components follow a renumbered operation, and refuse to leave one without its operation."""
    numbers = {operation.number for operation in operations}
    moved = {
        sources[new.source_id].number: new.number for new in operations if new.source_id and new.source_id in sources
    }
    fitted = [(each, moved.get(each.operation_number, each.operation_number)) for each in revision.components]
    stranded = [f"{each.part.number} ({each.operation_number})" for each, number in fitted if number not in numbers]
    if stranded:
        raise RoutingRefusedError([RowProblem(None, "operations", _stranded_sentence(stranded))])
    if any(each.operation_number != number for each, number in fitted):
        # Made anew: two operations that change places would, one after the other, fit the same part twice at one.
        revision.components = []
        session.flush()
        revision.components = [
            Component(part=each.part, operation_number=number, per_piece=each.per_piece) for each, number in fitted
        ]


def _stranded_sentence(stranded: Sequence[str]) -> str:
    return gettext(
        "Components are fitted at an operation that is missing here: %(which)s. Keep the operation, or remove the "
        "components first.",
        which=", ".join(stranded),
    )


def _same(stored: Sequence[RoutingOperation], made: Sequence[RoutingOperation]) -> bool:
    return [_content(operation) for operation in stored] == [_content(operation) for operation in made]


def _content(operation: RoutingOperation) -> tuple[object, ...]:
    files = [(each.file.id, each.title, each.position) for each in operation.files]
    return (*(getattr(operation, name) for name in SAVED), files)
