"""Jobs that are open at stations now: they go on first, one load after another, with what is left of their work."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from app.core.plan_check.counts import counts
from app.core.plan_check.faults import needs_station
from app.core.plan_check.hours import HORIZON, NeverDoneError
from app.core.plan_check.rows import Case, Row
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.shop import Lot, OpenJob, Operation, Station


@dataclass(eq=False, slots=True)
class Resumed:
    """An open job, the run that goes on with it, and what is left of its seconds of set-up and of work."""

    job: OpenJob
    row: Row
    setup_s: int
    work_s: int

    @property
    def left_s(self) -> int:
        """All seconds that are left."""
        return self.setup_s + self.work_s


def violations(case: Case) -> Iterator[Violation]:
    """Yield what is wrong with jobs under way, and tell their rows how much of their work is done."""
    resumed: dict[str, list[Resumed]] = defaultdict(list)
    for lot in case.shop.lots:
        for index, (operation, count) in enumerate(zip(lot.operations, counts(case, lot), strict=True)):
            blocked = lot.hold is not None or not count.least
            yield from _match(case, lot, index, operation, resumed, must_go_on=not blocked)
    for station in case.shop.stations:
        yield from _order_violations(case, station, resumed[station.key])


def _match(
    case: Case, lot: Lot, index: int, operation: Operation, resumed: dict[str, list[Resumed]], *, must_go_on: bool
) -> Iterator[Violation]:
    """Find the run of each open job."""
    jobs = list(operation.open_jobs) if needs_station(operation) else []
    for row in case.rows_of(lot.key, index):
        if not row.run.under_way or not needs_station(operation):
            continue
        job = next((one for one in jobs if (one.station, one.pieces) == (row.run.station, row.run.pieces)), None)
        if job is None or row.station is None:
            yield of_run(Rule.UNDER_WAY, row.run, "no such job is under way")
            continue
        jobs.remove(job)
        resumed[job.station].append(_resumed(case, job, row, row.station))
    for job in jobs if must_go_on else ():
        message = f"{job.pieces} pieces under way do not go on"
        yield Violation(Rule.UNDER_WAY, message, lot.key, index, job.station)


def _resumed(case: Case, job: OpenJob, row: Row, station: Station) -> Resumed:
    all_s = setup_of(row.operation, job)
    ahead_s = all_s - (_done_s(case, job, all_s) if job.worked_s is None else job.worked_s)
    setup_s = max(0, ahead_s)
    row.seconds_before, row.shared = min(0, ahead_s), job.load is not None
    try:
        row.work_from = case.hours[station.key].attended.done_at(row.run.start, setup_s)
    except NeverDoneError:
        row.work_from = row.run.start
    return Resumed(job, row, setup_s, max(0, row.work.seconds + row.seconds_before))


def setup_of(operation: Operation, job: OpenJob) -> int:
    """Return all the set-up of an open job."""
    if not job.in_setup:
        return 0
    return operation.setup_s if job.needed_setup_s is None else job.needed_setup_s


def _done_s(case: Case, job: OpenJob, setup_s: int) -> int:
    """Return the seconds of set-up and of work that a job has behind it by the hours of its station."""
    hours, now = case.hours[job.station], case.shop.now
    begun = max(job.started_at, now - HORIZON)
    in_setup_s = hours.attended.count(begun, now)
    if in_setup_s < setup_s:
        return in_setup_s
    return setup_s + hours.running.count(hours.attended.done_at(begun, setup_s), now)


def _order_violations(case: Case, station: Station, resumed: list[Resumed]) -> Iterator[Violation]:
    """The loads follow one another from now on, the first begun first, before anything else."""
    loads: dict[object, list[Resumed]] = defaultdict(list)
    for one in resumed:
        loads[one.job.load or one].append(one)
    in_order = sorted(loads.values(), key=lambda load: (load[0].row.run.start, load[0].row.run.end, _begun(load)))
    begun = [_begun(load) for load in in_order]
    if begun != sorted(begun):
        yield Violation(Rule.UNDER_WAY, "what began later goes on before the rest", station=station.key)
    at = case.shop.now
    for load in in_order:
        slowest = max(load, key=lambda one: one.left_s)
        try:
            set_up = case.hours[station.key].attended.done_at(at, slowest.setup_s)
            end = case.hours[station.key].running.done_at(set_up, slowest.work_s)
        except NeverDoneError:
            yield of_run(Rule.UNDER_WAY, slowest.row.run, "what is left of it is never done")
            continue
        yield from _rest_violations(load, slowest.setup_s, at, end)
        at = end
    for planned in case.loads[station.key]:
        if not planned.run.under_way and planned.run.start < at:
            yield of_run(Rule.OVERLAP, planned.run, f"jobs under way go on until {at}")


def _begun(load: list[Resumed]) -> int:
    return min(one.job.started_at for one in load)


def _rest_violations(load: list[Resumed], setup_s: int, start: int, end: int) -> Iterator[Violation]:
    """All jobs of a load take what is left of the slowest."""
    for run in (one.row.run for one in load):
        if (run.start, run.end) != (start, end):
            yield of_run(Rule.UNDER_WAY, run, f"it goes on from {start} to {end}")
        if run.setup_s != setup_s:
            yield of_run(Rule.SETUP, run, f"{run.setup_s} s of set-up instead of the {setup_s} s left")
