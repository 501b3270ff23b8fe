"""One person, many machines: what runs where, and what will want this person's hands next, and when."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.models import SignOn
from app.floor.queries.signed_on import idle_time
from app.lots.models import Job, JobState, Lot, LotOperation
from app.lots.queries.names import lot_name
from app.parts.models import Revision, Taking
from app.people.models import Person
from app.people.queries import get_person
from app.schedule.queries import JobTimes, Queued, job_times, station_queue
from app.shared.words import gettext, ngettext
from app.stations.models import Downtime, Station
from app.stations.queries import downtimes_at

QUEUED = 40
"""So many planned runs are read to find what each of a person's stations runs next."""


@dataclass(frozen=True, slots=True)
class Call:
    """Something that wants hands: where, what, and when; ``is_now``: it waits already."""

    at: datetime
    is_now: bool
    station: Station
    what: str
    about: str


@dataclass(frozen=True, slots=True)
class PersonPage:
    """A person's machines: the stations, the jobs there, and what wants hands, the soonest first."""

    person: Person
    stations: list[Station]
    jobs: list[Job]
    calls: list[Call]
    times: dict[int, JobTimes]


def person_page(session: orm.Session, person_id: int, now: datetime) -> PersonPage:
    """Read what one person has running and what wants their hands, in a fixed number of statements.

    A person's stations are those they are signed on at, and those of the jobs they began or took over.

    Raises:
        PersonNotFoundError: there is no such person.
        NoShopError: the shop is not set up yet.
    """
    person = get_person(session, person_id)
    jobs = _jobs(session, person_id)
    stations = _stations(session, person_id, jobs, now)
    times = job_times(session, jobs, now)
    down = {each.station_id: each for each in downtimes_at(session, now)}
    queue = station_queue(session, *stations, limit=QUEUED)
    calls = [
        *(call for job in jobs if job.station_id not in down for call in _calls_of_job(job, times[job.id], now)),
        *(_call_of_downtime(station, down[key], now) for key, station in stations.items() if key in down),
        *_next_calls(stations, jobs, times, queue, set(down), now),
    ]
    return PersonPage(
        person=person,
        stations=sorted(stations.values(), key=lambda each: each.name),
        jobs=jobs,
        calls=sorted(calls, key=lambda call: (not call.is_now, call.at, call.station.name)),
        times=times,
    )


def _jobs(session: orm.Session, person_id: int) -> list[Job]:
    return list(
        session.scalars(
            sa.select(Job)
            .where(Job.person_id == person_id)
            .order_by(Job.begun_at, Job.id)
            .options(
                orm.joinedload(Job.station),
                orm.joinedload(Job.operation).options(
                    orm.joinedload(LotOperation.kind),
                    orm.joinedload(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part),
                ),
            )
        )
    )


def _stations(session: orm.Session, person_id: int, jobs: Iterable[Job], now: datetime) -> dict[int, Station]:
    signed_on = session.scalars(
        sa.select(Station)
        .join(SignOn, SignOn.station_id == Station.id)
        .where(
            SignOn.person_id == person_id,
            SignOn.begun_at <= now,
            SignOn.seen_at >= now - idle_time(session),
            sa.or_(SignOn.ended_at.is_(None), SignOn.ended_at > now),
            Station.active,
        )
    )
    return {each.id: each for each in (*signed_on, *(job.station for job in jobs))}


def _about(operation: LotOperation) -> str:
    part = operation.lot.revision.part.number
    return gettext("%(part)s op %(number)s, %(lot)s", part=part, number=operation.number, lot=lot_name(operation.lot))


def _calls_of_job(job: Job, times: JobTimes, now: datetime) -> Iterator[Call]:
    """Yield what an open job wants: what waits now, or the next things with their times."""
    operation = job.operation
    if job.state is JobState.PAUSED:
        yield _call(job, now, now, gettext("Paused: run it again"))
        return
    if not times.left:
        yield _call(job, now, now, gettext("All pieces are counted: sign off"))
        return
    if times.setup_ends_at is not None:
        yield _call(job, times.setup_ends_at, now, gettext("Set-up should be done"))
    elif operation.first_piece and not job.first_piece_good and not operation.passed:
        yield _call(job, now, now, gettext("First piece to check"))
    if times.load_at is not None:
        yield _call(job, times.load_at, now, _load_word(operation))
    if times.ends_at is not None:
        yield _call(job, times.ends_at, now, _end_word(operation, times.left))


def _call(job: Job, at: datetime, now: datetime, what: str) -> Call:
    return Call(max(at, now), at <= now, job.station, what, _about(job.operation))


def _load_word(operation: LotOperation) -> str:
    return gettext("Next bar") if operation.taking is Taking.BAR else gettext("Change the load")


def _end_word(operation: LotOperation, left: int) -> str:
    if operation.taking is Taking.BATCH:
        return gettext("Batch done")
    return ngettext("Run done, %(num)d piece", "Run done, %(num)d pieces", left)


def _call_of_downtime(station: Station, downtime: Downtime, now: datetime) -> Call:
    if downtime.guess_passed(now):
        return Call(now, True, station, gettext("Down: does it run?"), downtime.reason)
    return Call(downtime.ends_at, False, station, gettext("Back from being down"), downtime.reason)


def _next_calls(
    stations: dict[int, Station],
    jobs: list[Job],
    times: dict[int, JobTimes],
    queue: list[Queued],
    down: set[int],
    now: datetime,
) -> Iterator[Call]:
    """Yield what each station that is up begins next: when the forecast says, but not before its jobs should end."""
    busy_until: dict[int, datetime] = {}
    for job in jobs:
        ends_at = times[job.id].ends_at or now
        busy_until[job.station_id] = max(ends_at, busy_until.get(job.station_id, now))
    seen: set[int] = set()
    for queued in queue:
        key = queued.run.station_id
        if key is None or key in seen or key in down or key not in stations:
            continue
        seen.add(key)
        at = max(queued.run.start_at, busy_until.get(key, now))
        what = gettext("Set up next") if queued.run.setup_seconds else gettext("Begin next")
        is_now = at <= now and queued.here > 0
        yield Call(max(at, now), is_now, stations[key], what, _about(queued.operation))
