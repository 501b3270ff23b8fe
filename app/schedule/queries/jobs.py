"""What the books say of open jobs: the set-up each needed, what was said about it, and what stations are set up for."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Job, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import AT_THE_STATION, change_at_station, counted_by_station
from app.schedule.queries.conversion import needed_setup
from app.schedule.queries.hours import second_of
from app.schedule.queries.progress import Mark
from app.stations.models import Station

_Spot = tuple[Place, int | None]
_PASSED = {Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.RECORD_LATE}


@dataclass(frozen=True, slots=True)
class BegunJob:
    """An open job: the set-up it needed, its pieces that are not counted, and what was said about it.

    Each mark comes with a number that orders it among those about other jobs.
    """

    row: Job
    setup_s: int
    left: int
    marks: list[tuple[int, Mark]]

    @property
    def load(self) -> int:
        """The same for the jobs of one shared load."""
        return self.row.batch_id or -self.row.id

    @property
    def pieces(self) -> int:
        """All that it had, but for those that left it before they were made."""
        return self.left + (self.marks[-1][1].made if self.marks else 0)


def begun_jobs(session: orm.Session) -> list[BegunJob]:
    """Read the open jobs, the first one first; four statements."""
    setups = _setups(session)
    counted = counted_by_station(session, [job.operation_id for job in setups])
    marks = _marks(session)
    return [
        BegunJob(job, setup_s, job.pieces - counted.get((job.operation_id, job.station_id), 0), marks.get(job.id, []))
        for job, setup_s in setups.items()
    ]


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


def _marks(session: orm.Session) -> dict[int, list[tuple[int, Mark]]]:
    """Read what was said about the open jobs since each began, without what was undone, by job and in order.

    Each comes with a number that orders what was said about any of them.
    """
    undoing = orm.aliased(Posting)
    about = sa.or_(Entry.from_operation_id == Job.operation_id, Entry.to_operation_id == Job.operation_id)
    rows = session.execute(
        sa.select(
            Job.id,
            Job.operation_id,
            Posting.verb,
            Posting.happened_at,
            Entry.quantity,
            Entry.from_place,
            Entry.from_operation_id,
            Entry.to_place,
            Entry.to_operation_id,
            Entry.cause_operation_id,
        )
        .select_from(Job)
        .join(Entry, sa.and_(about, Entry.station_id == Job.station_id))
        .join(Entry.posting)
        .where(
            Posting.happened_at >= Job.begun_at,
            sa.func.coalesce(Posting.reverses_id, 0) == 0,
            sa.not_(sa.exists().where(undoing.reverses_id == Posting.id)),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Entry.id)
    )
    found: dict[int, _Said] = {}
    for order, (job_id, operation_id, verb, happened_at, quantity, *places, cause_id) in enumerate(rows):
        origin, target = (places[0], places[1]), (places[2], places[3])
        said = found.setdefault(job_id, _Said())
        said.there += change_at_station(operation_id, quantity, origin, target)
        said.made += quantity * _made(operation_id, origin, target, passed=verb in _PASSED or cause_id is not None)
        said.marks.append((order, Mark(verb, second_of(happened_at), said.made)))
        if said.there <= 0:  # of a job that ended in the second in which this one began
            found[job_id] = _Said()
    return {job_id: said.marks for job_id, said in found.items()}


@dataclass(slots=True)
class _Said:
    """What was said about a job so far: the marks, the pieces at the station, and those of its pieces made."""

    marks: list[tuple[int, Mark]] = field(default_factory=list)
    there: int = 0
    made: int = 0


def _made(operation_id: int, origin: _Spot, target: _Spot, *, passed: bool) -> int:
    """Return whether an entry makes a piece of an operation at a station one of those made: 1, or -1 for the reverse.

    Made is what is counted, what was passed on, and what was found bad, as something caused it. Other pieces that left
    the job, such as those taken off the machine or found missing, are none of its run any more.
    """
    if (Place.IN_WORK, operation_id) not in (origin, target):
        return 0
    if (Place.COUNTED, operation_id) in (origin, target):
        return 1 if target[0] is Place.COUNTED else -1
    leaves = target[1] != operation_id or target[0] not in AT_THE_STATION
    return int(leaves and origin == (Place.IN_WORK, operation_id) and passed)


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
