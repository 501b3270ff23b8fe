"""Preview and store a table of parts."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.models import Part, Revision, Routing, RoutingOperation
from app.parts.services.imports.plan import Outcome, PartsPreview, Planned, plan_of, preview_of
from app.parts.services.routings import SAVED, copied_files
from app.people.models import Person
from app.shared.database import transaction
from app.shared.progress import Progress, silent
from app.shared.sheets import ImportRefusedError, Sheet


def preview_parts(session: orm.Session, table: Sheet) -> PartsPreview:
    """Say what ``import_parts`` would do, and name every bad cell. Nothing is stored."""
    return preview_of(*plan_of(session, table))


def import_parts(
    session: orm.Session, table: Sheet, *, by: Person | None, now: datetime, tell: Progress = silent
) -> PartsPreview:
    """Store a table of parts and routings whole, or nothing of it.

    New parts and revisions are added, the last one of a part in the table is the current one; a revision that is here
    gets a new version of its routing where the table says otherwise. Nothing stored is changed.

    Args:
        session: the database session.
        table: as read from the file.
        by: who imports.
        now: the present.
        tell: told how far it has come; judging the table counts as half.

    Raises:
        ImportRefusedError: cells are wrong; it names each.
    """
    with transaction(session):
        planned, problems = plan_of(session, table, tell)
        if problems:
            raise ImportRefusedError(problems)
        preview = preview_of(planned, problems)
        tell(len(planned), 2 * len(planned))
        _store(session, planned, by, now)
    return preview


def _store(session: orm.Session, planned: list[Planned], by: Person | None, now: datetime) -> None:
    parts: dict[str, Part] = {}
    for each in planned:
        if each.outcome in {Outcome.NEW_PART, Outcome.NEW_REVISION}:
            part = each.part or parts.get(each.draft.key[0])
            if part is None:
                part = Part(number=each.draft.number, name=each.draft.name)
                session.add(part)
            parts[each.draft.key[0]] = part
            each.revision = _new_revision(part, each)
    session.flush()
    changed = [each for each in planned if each.outcome is not Outcome.UNCHANGED and each.draft.operations]
    routings = [_new_routing(each, by, now) for each in changed]
    session.add_all(routings)
    session.flush()
    rows = [
        {"routing_id": routing.id, **{name: getattr(operation, name) for name in SAVED}}
        for each, routing in zip(changed, routings, strict=True)
        for operation in each.draft.operations
    ]
    if rows:
        session.execute(sa.insert(RoutingOperation), rows)  # in one go: there may be thousands
    _take_over_files(session, changed)


def _new_revision(part: Part, planned: Planned) -> Revision:
    """Add a revision to its part and make it the current one."""
    for other in part.revisions:
        other.current = False
    new = planned.draft.revision
    revision = Revision(current=True, **{name: getattr(new, name) for name in type(new).__slots__})
    part.revisions.append(revision)
    return revision


def _new_routing(planned: Planned, by: Person | None, now: datetime) -> Routing:
    return Routing(
        revision=planned.revision,
        version=planned.routing.version + 1 if planned.routing else 1,
        created_at=now,
        created_by_id=by.id if by else None,
    )


def _take_over_files(session: orm.Session, changed: list[Planned]) -> None:
    """Let the new operations show what the stored ones with the same numbers show."""
    for each in changed:
        with_files = {operation.number: operation for operation in _operations(each.routing) if operation.files}
        if not with_files or each.revision is None:
            continue
        newest = queries.routing_of(session, each.revision.id)
        for operation in _operations(newest):
            if operation.number in with_files:
                operation.files = copied_files(with_files[operation.number])


def _operations(routing: Routing | None) -> list[RoutingOperation]:
    return routing.operations if routing else []
