"""Routings: the newest, an earlier one, and what their editor offers."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm
from sqlalchemy.orm.interfaces import LoaderOption

from app.parts.errors import NoRoutingToCopyError, NoSuchPartError, RoutingNotFoundError
from app.parts.models import OperationFile, Revision, Routing, RoutingOperation, StoredFile
from app.parts.queries.parts import part_by_number
from app.people.models import Person


@dataclass(frozen=True, slots=True)
class RoutingVersion:
    """One version of a routing in the list of versions."""

    version: int
    created_at: datetime
    created_by: str
    """Empty where nobody is known: an import from the command line."""
    note: str


def _whole() -> tuple[LoaderOption, ...]:
    """Load operations with their kinds and work centers, and their files with the list of pages: four statements."""
    operations = orm.selectinload(Routing.operations)
    files = operations.selectinload(RoutingOperation.files)
    return (
        operations.joinedload(RoutingOperation.kind),
        operations.joinedload(RoutingOperation.work_center),
        files.joinedload(OperationFile.file).selectinload(StoredFile.pages),
    )


def routing_of(session: orm.Session, revision_id: int) -> Routing | None:
    """Return the newest routing of a revision, whole; None where it has none."""
    newest = sa.select(Routing).where(Routing.revision_id == revision_id).order_by(Routing.version.desc()).limit(1)
    return session.scalars(newest.options(*_whole()).execution_options(populate_existing=True)).one_or_none()


def newest_routings(session: orm.Session, revision_ids: Sequence[int]) -> dict[int, Routing]:
    """Return the newest routing of each revision that has one, whole, by revision."""
    found: dict[int, Routing] = {}
    for first in range(0, len(revision_ids), 500):
        some = revision_ids[first : first + 500]
        newest = (
            sa.select(Routing.revision_id, sa.func.max(Routing.version).label("version"))
            .where(Routing.revision_id.in_(some))
            .group_by(Routing.revision_id)
            .subquery()
        )
        match = (Routing.revision_id == newest.c.revision_id) & (Routing.version == newest.c.version)
        for routing in session.scalars(sa.select(Routing).join(newest, match).options(*_whole())):
            found[routing.revision_id] = routing
    return found


def routing_version(session: orm.Session, revision_id: int, version: int) -> Routing:
    """Return one version of a routing, whole.

    Raises:
        RoutingNotFoundError: there is no such version.
    """
    chosen = sa.select(Routing).where(Routing.revision_id == revision_id, Routing.version == version)
    routing = session.scalars(chosen.options(*_whole())).one_or_none()
    if routing is None:
        raise RoutingNotFoundError
    return routing


def routing_versions(session: orm.Session, revision_id: int) -> list[RoutingVersion]:
    """Return all versions of a revision's routing, the newest first."""
    versions = (
        sa.select(Routing.version, Routing.created_at, sa.func.coalesce(Person.name, ""), Routing.note)
        .outerjoin(Person, Person.id == Routing.created_by_id)
        .where(Routing.revision_id == revision_id)
        .order_by(Routing.version.desc())
    )
    return [RoutingVersion(*row) for row in session.execute(versions)]


def routing_to_copy(session: orm.Session, number: str) -> Routing:
    """Return the newest routing of the current revision of the part with this number, whole.

    Raises:
        NoSuchPartError: no part has the number.
        NoRoutingToCopyError: it has no routing.
    """
    part = part_by_number(session, number)
    if part is None:
        raise NoSuchPartError(number)
    routing = routing_of(session, part.current_revision.id) if part.current_revision else None
    if routing is None:
        raise NoRoutingToCopyError(part.number)
    return routing


def following_operations(session: orm.Session, revision_id: int, operation_ids: Collection[int]) -> dict[int, int]:
    """Return which operation of the newest routing has the number that an operation of an earlier version had."""
    earlier = sa.select(RoutingOperation.id, RoutingOperation.number).where(RoutingOperation.id.in_(operation_ids))
    newest = sa.select(sa.func.max(Routing.version)).where(Routing.revision_id == revision_id).scalar_subquery()
    now = (
        sa.select(RoutingOperation.number, RoutingOperation.id)
        .join(RoutingOperation.routing)
        .where(Routing.revision_id == revision_id, Routing.version == newest)
    )
    by_number = dict(session.execute(now).all())
    return {earlier_id: by_number[number] for earlier_id, number in session.execute(earlier) if number in by_number}


def newest_version(session: orm.Session, revision_id: int) -> int:
    """Return the number of the newest version; 0 where there is no routing."""
    newest = sa.select(sa.func.max(Routing.version)).where(Routing.revision_id == revision_id)
    return session.scalars(newest).one() or 0


def get_operation(session: orm.Session, operation_id: int) -> RoutingOperation:
    """Return one operation of a routing with its files, its kind and the way up to the part.

    Raises:
        RoutingNotFoundError: there is none with this key.
    """
    found = (
        sa.select(RoutingOperation)
        .where(RoutingOperation.id == operation_id)
        .options(
            orm.joinedload(RoutingOperation.kind),
            orm.joinedload(RoutingOperation.routing).joinedload(Routing.revision).joinedload(Revision.part),
            orm.selectinload(RoutingOperation.files).joinedload(OperationFile.file).selectinload(StoredFile.pages),
        )
        .execution_options(populate_existing=True)
    )
    operation = session.scalars(found).one_or_none()
    if operation is None:
        raise RoutingNotFoundError
    return operation
