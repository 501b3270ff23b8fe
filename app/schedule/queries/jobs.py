"""What the books say of open jobs: the set-up each needed, what was said about it, and what stations are set up for."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Job, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import counted_by_station
from app.schedule.queries.conversion import needed_setup
from app.schedule.queries.hours import second_of
from app.schedule.queries.marks import Said, ended_since, said_by_job
from app.stations.models import Station


@dataclass(frozen=True, slots=True)
class BegunJob:
    """What was begun at a station and is open, or ended there since another was begun beside it.

    Attributes:
        operation: its operation.
        station_id: the station.
        row: the open job; None where it has ended.
        setup_s: the set-up it needed; where it has ended all that its operation takes.
        left: its pieces that are not counted.
        said: what was said about it.
    """

    operation: LotOperation
    station_id: int
    row: Job | None
    setup_s: int
    left: int
    said: Said

    @property
    def load(self) -> int:
        """The same for the jobs of one shared load."""
        return self.said.posting_id

    @property
    def pieces(self) -> int:
        """Those of its run: all that an ended job had, of an open one not those that left it before they were made."""
        return self.said.came if self.row is None else self.left + self.said.made


def begun_jobs(session: orm.Session, several_pallets: Collection[int]) -> list[BegunJob]:
    """Read the open jobs, and those that ended beside them at stations with several pallets; at most six statements."""
    setups = _setups(session)
    pairs = {(job.operation_id, job.station_id) for job in setups}
    beside = [job for job in setups if job.station_id in several_pallets]
    if beside:
        first = min(job.begun_at for job in beside)
        pairs |= ended_since(session, {job.station_id for job in beside}, first)
    said = said_by_job(session, pairs)
    counted = counted_by_station(session, [job.operation_id for job in setups])
    found = []
    for job, setup_s in setups.items():
        pair = job.operation_id, job.station_id
        own = said[pair].pop()  # what is left are those that ended
        found.append(BegunJob(job.operation, job.station_id, job, setup_s, job.pieces - counted.get(pair, 0), own))
    operations = operations_with_parts(session, {operation_id for (operation_id, _), jobs in said.items() if jobs})
    for (operation_id, station_id), jobs in said.items():
        for each in jobs:
            operation = operations[operation_id]
            found.append(BegunJob(operation, station_id, None, operation.setup_seconds, 0, each))
    return found


def operations_with_parts(
    session: orm.Session, operation_ids: Collection[int] | sa.Select[int | None]
) -> dict[int, LotOperation]:
    """Read operations by key, with all that says how they take pieces; one statement."""
    rows = session.scalars(
        sa.select(LotOperation)
        .where(LotOperation.id.in_(operation_ids))
        .options(
            orm.defer(LotOperation.instructions),
            orm.joinedload(LotOperation.kind),
            orm.joinedload(LotOperation.lot).joinedload(Lot.revision),
        )
    )
    return {each.id: each for each in rows}


def _setups(session: orm.Session) -> dict[Job, int]:
    """Return the open jobs, the first one first, with the set-up each needed after what was begun before it there.

    That is the last thing begun at its station before it, or since it, if that was something else.
    """
    own, before = orm.aliased(LotOperation), orm.aliased(LotOperation)
    of_own, of_before = orm.aliased(Lot), orm.aliased(Lot)
    begun = orm.aliased(Entry)
    same = (
        sa.exists()
        .where(begun.posting_id == Posting.id, begun.to_operation_id == Job.operation_id)
        .correlate(Posting, Job)
    )
    other = sa.or_(Posting.happened_at < Job.begun_at, sa.and_(Posting.happened_at > Job.begun_at, sa.not_(same)))
    rows = session.execute(
        sa.select(Job, before, of_before.revision_id)
        .join(own, own.id == Job.operation_id)
        .join(of_own, of_own.id == own.lot_id)
        .outerjoin(Entry, Entry.posting_id == _last_begun(Job.station_id, other))
        .outerjoin(before, before.id == Entry.to_operation_id)
        .outerjoin(of_before, of_before.id == before.lot_id)
        .order_by(Job.id, Entry.id)
        .options(
            orm.contains_eager(Job.operation.of_type(own)).options(
                orm.defer(own.instructions),
                orm.joinedload(own.kind),
                orm.contains_eager(own.lot.of_type(of_own)).joinedload(of_own.revision),
            )
        )
    )
    return {
        job: needed_setup(job.operation, job.operation.lot.revision_id, earlier, earlier_revision_id)
        for job, earlier, earlier_revision_id in rows
    }


def _last_begun(station_id: Any, *further: sa.ColumnElement[bool]) -> sa.ScalarSelect[int]:
    """Return the posting that last began something at a station and was not undone."""
    undoing = orm.aliased(Posting)
    return (
        sa.select(Posting.id)
        .where(
            Posting.station_id == station_id,
            Posting.verb.in_((Verb.BEGIN_SETUP, Verb.BEGIN_RUN)),
            sa.not_(sa.exists().where(undoing.reverses_id == Posting.id)),
            *further,
        )
        .order_by(Posting.happened_at.desc(), Posting.id.desc())
        .limit(1)
        .correlate(Station, Job)
        .scalar_subquery()
    )


def came_at(session: orm.Session, operation_ids: Iterable[int]) -> dict[int, int]:
    """Return when pieces last came to each of some operations; one statement.

    Where others do it they count as sent out then: what waits at such an operation is on the road or at the vendor.
    """
    rows = session.execute(
        sa.select(Entry.to_operation_id, sa.func.max(Posting.happened_at))
        .join(Entry.posting)
        .where(
            Entry.to_operation_id.in_(list(operation_ids)),
            Entry.to_place == Place.WAITING,
            Entry.quantity > 0,
        )
        .group_by(Entry.to_operation_id)
    )
    return {operation_id: second_of(moment) for operation_id, moment in rows if operation_id is not None}


def set_up_for(session: orm.Session) -> dict[int, tuple[int, int, str]]:
    """Return the revision, operation number and fixture that each station was last set up for; one statement."""
    rows = session.execute(
        sa.select(Station.id, Lot.revision_id, LotOperation.number, LotOperation.setup_family)
        .select_from(Station)
        .join(Entry, Entry.posting_id == _last_begun(Station.id))
        .join(LotOperation, Entry.to_operation_id == LotOperation.id)
        .join(LotOperation.lot)
        .order_by(Entry.id)
    )
    return {station_id: (revision_id, number, fixture) for station_id, revision_id, number, fixture in rows}
