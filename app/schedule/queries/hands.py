"""When open jobs want somebody's hands, from cycle times, counts and the stations' hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.core import shop as core
from app.core.calendars import NoOpenHoursError
from app.core.hands import time_to_hands
from app.core.work_hours import WorkHours
from app.lots.models import Job
from app.schedule.queries.conversion import taking_of
from app.schedule.queries.hours import moment_of, read_hours
from app.schedule.queries.jobs import open_jobs


@dataclass(frozen=True, slots=True)
class JobTimes:
    """What is expected of an open job, as if it ran on from now; None where it cannot be said.

    Attributes:
        left: pieces not yet counted.
        setup_ends_at: when its set-up should be done; None where none is under way.
        load_at: when the next load or bar change is due, before the end.
        ends_at: when all its pieces should be done.
    """

    left: int
    setup_ends_at: datetime | None = None
    load_at: datetime | None = None
    ends_at: datetime | None = None


def job_times(session: orm.Session, jobs: Iterable[Job], now: datetime) -> dict[int, JobTimes]:
    """Return what is expected of some open jobs, by their key; a fixed number of statements.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    hours = read_hours(session, now)
    places = {station.id: (station.name, hours.work_hours(station)) for station in hours.stations}
    under_way = open_jobs(session, places, hours.now)
    found = {}
    for job in jobs:
        key, at_work = places[job.station_id]
        opened = next((each for each in under_way.get(job.operation_id, ()) if each.station == key), None)
        station = core.Station(key, "", hours.calendar(job.station), pallets=job.station.pallets)
        found[job.id] = _times(job, opened, station, at_work, hours.now) if opened else JobTimes(left=0)
    return found


def _times(job: Job, opened: core.OpenJob, station: core.Station, at_work: WorkHours, now: int) -> JobTimes:
    operation = job.operation
    taking = taking_of(operation, operation.kind, operation.lot.revision.piece_grams)
    setup = (opened.needed_setup_s or 0) if opened.in_setup else 0
    worked = opened.worked_s or 0
    setup_left = max(0, setup - worked)
    hands = time_to_hands(taking, station, opened.pieces, 0 if opened.in_setup else worked)
    load = hands.next_load_s
    return JobTimes(
        left=opened.pieces,
        setup_ends_at=_end(at_work, now, setup_left, 0) if opened.in_setup else None,
        load_at=None if load is None else _end(at_work, now, setup_left, load),
        ends_at=_end(at_work, now, setup_left, hands.end_s),
    )


def _end(at_work: WorkHours, now: int, setup_s: int, work_s: int) -> datetime | None:
    try:
        return moment_of(at_work.end(now, setup_s, work_s))
    except NoOpenHoursError:
        return None
