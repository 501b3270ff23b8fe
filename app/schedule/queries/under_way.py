"""The open jobs of the floor as the core takes them: what is in work where, how far it has got, and when it goes on."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from sqlalchemy import orm

from app.core import shop as core
from app.core.calendars import NoOpenHoursError
from app.core.planning.takings import run_seconds
from app.core.work_hours import WorkHours
from app.lots.models import Job
from app.schedule.queries.conversion import station_as_planned, taking_of
from app.schedule.queries.hours import ShopHours, second_of
from app.schedule.queries.jobs import BegunJob, begun_jobs
from app.schedule.queries.progress import Begun, Progress, progress
from app.stations.models import Station

_station_id = attrgetter("station_id")


@dataclass(frozen=True, slots=True)
class UnderWay:
    """An open job with pieces that are not counted.

    Attributes:
        job_id: its row.
        operation_id: its operation.
        opened: the job as the core takes it.
        taking: how its operation takes pieces.
        station: its station, as planned.
        goes_on_at: when it goes on: now, or when those that go before it at its station should be done.
    """

    job_id: int
    operation_id: int
    opened: core.OpenJob
    taking: core.Taking
    station: core.Station
    goes_on_at: int

    @property
    def setup_left_s(self) -> int:
        """Seconds of set-up that are left."""
        return max(0, self._setup_s - (self.opened.worked_s or 0))

    @property
    def worked_s(self) -> int:
        """Seconds of work that its run has behind it."""
        return max(0, (self.opened.worked_s or 0) - self._setup_s)

    @property
    def work_left_s(self) -> int:
        """Seconds of work that are left."""
        whole = self.opened.counted + self.opened.pieces
        return max(0, run_seconds(self.taking, self.station, whole) - self.worked_s)

    @property
    def _setup_s(self) -> int:
        return (self.opened.needed_setup_s or 0) if self.opened.in_setup else 0


def open_jobs(session: orm.Session, hours: ShopHours) -> dict[int, tuple[core.OpenJob, ...]]:
    """Read the open jobs by operation; at most six statements."""
    found: defaultdict[int, list[core.OpenJob]] = defaultdict(list)
    for each in under_way(session, hours):
        found[each.operation_id].append(each.opened)
    return {operation_id: tuple(jobs) for operation_id, jobs in found.items()}


def under_way(session: orm.Session, hours: ShopHours) -> list[UnderWay]:
    """Read the open jobs that have pieces not counted, the first one first; at most six statements.

    A paused job goes on as soon as those that run at its station are done.
    """
    stations = {station.id: station for station in hours.stations}
    several_pallets = {station.id for station in hours.stations if station.pallets > 1}
    begun = sorted(begun_jobs(session, several_pallets), key=_station_id)
    found = (
        each
        for station_id, jobs in groupby(begun, _station_id)
        for each in _at_station(stations[station_id], list(jobs), hours)
    )
    return sorted(found, key=attrgetter("job_id"))


def _at_station(of: Station, jobs: Sequence[BegunJob], hours: ShopHours) -> Iterator[UnderWay]:
    """Yield the jobs of a station, each with how far it has got and when it goes on."""
    station, at_work = station_as_planned(of, hours), hours.work_hours(of)
    in_order = _in_order(jobs)
    begun = [Begun(_taking(each), station, each.pieces, each.setup_s, each.load) for each in in_order]
    said = sorted((order, place, mark) for place, each in enumerate(in_order) for order, mark in each.said.marks)
    got = progress(begun, ((place, mark) for _, place, mark in said), at_work, hours.now)
    opened = [
        (each, each.row, _opened(each, each.row, station.key, so_far, hours.now))
        for each, so_far in zip(in_order, got, strict=True)
        if each.row is not None and each.left > 0
    ]
    goes_on_at = hours.now
    going_on = sorted(opened, key=lambda one: one[2].started_at)  # as plans have it: paused ones last
    for _, load in groupby(going_on, lambda one: one[0].load):
        of_load = [
            UnderWay(row.id, row.operation_id, job, _taking(each), station, goes_on_at) for each, row, job in load
        ]
        yield from of_load
        goes_on_at = _end(at_work, max(of_load, key=lambda one: one.setup_left_s + one.work_left_s))


def _in_order(jobs: Sequence[BegunJob]) -> list[BegunJob]:
    """Return the jobs of a station in the order in which they were begun, those of a load together."""
    one_by_one = sorted(jobs, key=lambda each: (each.said.begun_at, each.load, each.operation.id))
    place = {each.load: -n for n, each in enumerate(reversed(one_by_one))}
    return sorted(one_by_one, key=lambda each: place[each.load])


def _taking(begun: BegunJob) -> core.Taking:
    operation = begun.operation
    return taking_of(operation, operation.kind, operation.lot.revision.piece_grams)


def _opened(begun: BegunJob, job: Job, station: str, got: Progress, now: int) -> core.OpenJob:
    return core.OpenJob(
        station=station,
        pieces=begun.left,
        started_at=now if got.paused else second_of(job.begun_at),
        in_setup=got.in_setup,
        worked_s=got.worked_s,
        load=str(job.batch_id) if job.batch_id else None,
        needed_setup_s=begun.setup_s,
        counted=got.counted,
    )


def _end(hours: WorkHours, load: UnderWay) -> int:
    """Return when a load should be done; one that never is keeps nothing waiting."""
    try:
        return hours.end(load.goes_on_at, load.setup_left_s, load.work_left_s)
    except NoOpenHoursError:
        return load.goes_on_at
