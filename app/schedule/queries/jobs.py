"""The open jobs of the floor as the core takes them: what is in work where, and how far it has got."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendars import WorkCalendar
from app.core.shop import OpenJob
from app.lots.models import Entry, Job, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import counted_by_station
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
    """How far a job has got with the pieces not yet counted: open seconds spent, on set-up or on the run."""

    worked_s: int
    in_setup: bool
    paused: bool


def progress(marks: Iterable[Mark], calendar: WorkCalendar, now: int) -> Progress:
    """Fold the marks of one job, in order: each count begins the work on the remaining pieces afresh."""
    worked, in_setup, since = 0, False, None
    for verb, second in marks:
        if since is not None:
            worked += calendar.work_between(since, second)
            since = second
        if verb is Verb.BEGIN_SETUP:
            worked, in_setup, since = 0, True, second
        elif verb is Verb.BEGIN_RUN:
            worked, in_setup, since = 0 if in_setup else worked, False, second
        elif verb is Verb.PAUSE:
            since = None
        elif not in_setup:
            worked = 0
    if since is not None:
        worked += calendar.work_between(since, now)
    return Progress(worked, in_setup, since is None)


def open_jobs(
    session: orm.Session, calendars: Mapping[int, tuple[str, WorkCalendar]], now: int
) -> dict[int, tuple[OpenJob, ...]]:
    """Read the open jobs by operation; ``calendars`` gives key and calendar of each station. Four statements.

    A paused job goes on as soon as those that run at its station are done.
    """
    jobs = session.scalars(sa.select(Job).order_by(Job.id)).all()
    counted = counted_by_station(session, [job.operation_id for job in jobs])
    marks = _marks(session)
    found: defaultdict[int, list[OpenJob]] = defaultdict(list)
    for job in jobs:
        left = job.pieces - counted.get((job.operation_id, job.station_id), 0)
        if left > 0:
            key, calendar = calendars[job.station_id]
            got = progress(marks[job.operation_id, job.station_id], calendar, now)
            found[job.operation_id].append(_open_job(job, key, left, got, now))
    return {operation_id: tuple(jobs) for operation_id, jobs in found.items()}


def _open_job(job: Job, station: str, pieces: int, got: Progress, now: int) -> OpenJob:
    return OpenJob(
        station=station,
        pieces=pieces,
        started_at=now if got.paused else second_of(job.begun_at),
        in_setup=got.in_setup,
        worked_s=got.worked_s,
        load=str(job.batch_id) if job.batch_id else None,
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
    undoing = orm.aliased(Posting)
    last = (
        sa.select(Posting.id)
        .where(
            Posting.station_id == Station.id,
            Posting.verb.in_((Verb.BEGIN_SETUP, Verb.BEGIN_RUN)),
            sa.not_(sa.exists().where(undoing.reverses_id == Posting.id)),
        )
        .order_by(Posting.happened_at.desc(), Posting.id.desc())
        .limit(1)
        .correlate(Station)
        .scalar_subquery()
    )
    rows = session.execute(
        sa.select(Station.id, Lot.revision_id, LotOperation.number, LotOperation.setup_family)
        .select_from(Station)
        .join(Entry, Entry.posting_id == last)
        .join(LotOperation, Entry.to_operation_id == LotOperation.id)
        .join(LotOperation.lot)
        .order_by(Entry.id)
    )
    return {station_id: (revision_id, number, fixture) for station_id, revision_id, number, fixture in rows}
