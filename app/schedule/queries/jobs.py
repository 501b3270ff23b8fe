"""The open jobs of the floor as the core takes them: what is in work where, and how far it has got."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.shop import OpenJob
from app.core.work_hours import WorkHours
from app.lots.models import Entry, Job, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import counted_by_station
from app.schedule.queries.conversion import needed_setup
from app.schedule.queries.hours import second_of
from app.stations.models import Station

_MARKS = (
    Verb.BEGIN_SETUP,
    Verb.BEGIN_RUN,
    Verb.PAUSE,
    Verb.COUNT,
    Verb.SEND_AHEAD,
    Verb.SIGN_OFF,
)


class Mark(NamedTuple):
    """Something said at a station about an open job."""

    verb: Verb
    second: int


class Progress(NamedTuple):
    """How far a job has got with the pieces not yet counted: seconds of set-up and of work, or of work alone."""

    worked_s: int
    in_setup: bool
    paused: bool


def progress(marks: Iterable[Mark], hours: WorkHours, now: int, setup_s: int) -> Progress:
    """Fold the marks of one job, in order: each count begins the work on the remaining pieces afresh.

    Its set-up takes ``setup_s``; what goes on longer without a word is work.
    """
    worked, in_setup, since = 0, False, None

    def more(until: int) -> int:
        left = max(0, setup_s - worked) if in_setup else 0
        return 0 if since is None else hours.worked(since, until, left)

    for verb, second in marks:
        worked += more(second)
        since = None if since is None else second
        if verb is Verb.BEGIN_SETUP:
            worked, in_setup, since = 0, True, second
        elif verb is Verb.BEGIN_RUN:
            worked, in_setup, since = 0 if in_setup else worked, False, second
        elif verb is Verb.PAUSE:
            since = None
        elif not in_setup:
            worked = 0
    return Progress(worked + more(now), in_setup, since is None)


def open_jobs(
    session: orm.Session, stations: Mapping[int, tuple[str, WorkHours]], now: int
) -> dict[int, tuple[OpenJob, ...]]:
    """Read the open jobs by operation; ``stations`` gives key and hours of each. Four statements.

    A paused job goes on as soon as those that run at its station are done.
    """
    setups = _setups(session)
    counted = counted_by_station(session, [job.operation_id for job in setups])
    marks = _marks(session)
    found: defaultdict[int, list[OpenJob]] = defaultdict(list)
    for job, setup_s in setups.items():
        left = job.pieces - counted.get((job.operation_id, job.station_id), 0)
        if left > 0:
            key, hours = stations[job.station_id]
            got = progress(marks[job.operation_id, job.station_id], hours, now, setup_s)
            found[job.operation_id].append(_open_job(job, key, left, got, now, setup_s))
    return {operation_id: tuple(jobs) for operation_id, jobs in found.items()}


def _open_job(job: Job, station: str, pieces: int, got: Progress, now: int, setup_s: int) -> OpenJob:
    return OpenJob(
        station=station,
        pieces=pieces,
        started_at=now if got.paused else second_of(job.begun_at),
        in_setup=got.in_setup,
        worked_s=got.worked_s,
        load=str(job.batch_id) if job.batch_id else None,
        needed_setup_s=setup_s,
    )


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
        sa.select(Job, own, of_own.revision_id, before, of_before.revision_id)
        .join(own, own.id == Job.operation_id)
        .join(of_own, of_own.id == own.lot_id)
        .outerjoin(Entry, Entry.posting_id == _last_begun(Job.station_id, other))
        .outerjoin(before, before.id == Entry.to_operation_id)
        .outerjoin(of_before, of_before.id == before.lot_id)
        .order_by(Job.id, Entry.id)
    )
    return {
        job: needed_setup(operation, revision_id, earlier, earlier_revision_id)
        for job, operation, revision_id, earlier, earlier_revision_id in rows
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


def _marks(session: orm.Session) -> dict[tuple[int, int], list[Mark]]:
    """Read what was said about the open jobs since each began, without what was undone."""
    undoing = orm.aliased(Posting)
    about = sa.or_(Entry.from_operation_id == Job.operation_id, Entry.to_operation_id == Job.operation_id)
    rows = session.execute(
        sa.select(
            Job.operation_id,
            Job.station_id,
            Posting.verb,
            Posting.happened_at,
            Posting.recorded_at,
            Posting.id,
        )
        .select_from(Job)
        .join(Entry, sa.and_(about, Entry.station_id == Job.station_id))
        .join(Entry.posting)
        .where(
            Posting.happened_at >= Job.begun_at,
            Posting.verb.in_(_MARKS),
            sa.not_(sa.exists().where(undoing.reverses_id == Posting.id)),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Posting.id)
        .distinct()
    )
    found: defaultdict[tuple[int, int], list[Mark]] = defaultdict(list)
    for operation_id, station_id, verb, happened_at, _, _ in rows:
        found[operation_id, station_id].append(Mark(verb, second_of(happened_at)))
    return found


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
