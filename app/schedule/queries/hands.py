"""When open jobs want somebody's hands, from cycle times, counts and the stations' hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.core.calendars import NoOpenHoursError
from app.core.hands import time_to_hands
from app.core.work_hours import WorkHours
from app.lots.models import Job
from app.schedule.queries.hours import moment_of, read_hours
from app.schedule.queries.under_way import UnderWay, under_way


@dataclass(frozen=True, slots=True)
class JobTimes:
    """What is expected of an open job, which goes on behind those begun before it; None where it cannot be said.

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
    begun = {each.job_id: each for each in under_way(session, hours)}
    stations = {each.id: each for each in hours.stations}
    return {
        job.id: _times(begun[job.id], hours.work_hours(stations[job.station_id])) if job.id in begun else JobTimes(0)
        for job in jobs
    }


def _times(begun: UnderWay, at_work: WorkHours) -> JobTimes:
    start, setup_left, opened = begun.goes_on_at, begun.setup_left_s, begun.opened
    hands = time_to_hands(begun.taking, begun.station, opened.counted + opened.pieces, begun.worked_s)
    load = hands.next_load_s
    return JobTimes(
        left=opened.pieces,
        setup_ends_at=_end(at_work, start, setup_left, 0) if opened.in_setup else None,
        load_at=None if load is None else _end(at_work, start, setup_left, load),
        ends_at=_end(at_work, start, setup_left, hands.end_s),
    )


def _end(at_work: WorkHours, start: int, setup_s: int, work_s: int) -> datetime | None:
    try:
        return moment_of(at_work.end(start, setup_s, work_s))
    except NoOpenHoursError:
        return None
