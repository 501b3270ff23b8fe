"""Jobs that are open at stations now: they go on first, one load after another, with what is left of their work."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from app.core.plan_check.at_stations import can_do
from app.core.plan_check.counts import Count, Counts
from app.core.plan_check.faults import needs_station
from app.core.plan_check.hours import HORIZON, NeverDoneError
from app.core.plan_check.outside import was_sent_out
from app.core.plan_check.rows import Case, Row
from app.core.plan_check.standstill import could_end
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import Workload, setup_of, workload
from app.core.planning.result_file import PlannedRun
from app.core.shop import Lot, OpenJob, Operation, Station, rank
from app.core.taking import LeadTime


@dataclass(eq=False, slots=True)
class Resumed:
    """An open job, the run that goes on with it (None: none does), and the seconds of its whole run.

    Attributes:
        lot: its lot.
        index: place of its operation in the lot.
        job: the job.
        row: the run that goes on with it.
        all_setup_s: set-up of the whole run.
        work: work of the whole run.
        behind_s: seconds of set-up and then of work that are done.
    """

    lot: Lot
    index: int
    job: OpenJob
    row: Row | None
    all_setup_s: int
    work: Workload
    behind_s: int = 0

    @property
    def setup_s(self) -> int:
        """The seconds of set-up that are left."""
        return max(0, self.all_setup_s - self.behind_s)

    @property
    def work_s(self) -> int:
        """The seconds of work that are left."""
        return max(0, self.work.seconds - max(0, self.behind_s - self.all_setup_s))

    @property
    def left_s(self) -> int:
        """All seconds that are left."""
        return self.setup_s + self.work_s


def violations(case: Case, counts: Counts) -> Iterator[Violation]:
    """Yield what is wrong with jobs under way, and tell their rows how much of their work is done."""
    resumed: dict[str, list[Resumed]] = defaultdict(list)
    for lot in case.shop.lots:
        for index, (operation, count) in enumerate(zip(lot.operations, counts[lot.key], strict=True)):
            yield from _match(case, lot, index, operation, count, resumed)
            if count.goes_on and isinstance(operation.taking, LeadTime):
                yield from _return_violations(case, lot, index, operation)
    for station in case.shop.stations:
        _reckon_behind(case, station, resumed[station.key])
        for one in resumed[station.key]:
            _tell_row(case, one)
        yield from _order_violations(case, station, [one for one in resumed[station.key] if one.row is not None])


def _match(
    case: Case, lot: Lot, index: int, operation: Operation, count: Count, resumed: dict[str, list[Resumed]]
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
        resumed[job.station].append(_resumed(case, lot, index, job, row))
    for job in (one for one in jobs if count.goes_on and _must_end(case, operation, one)):
        message = f"{job.pieces} pieces under way do not go on"
        yield Violation(Rule.UNDER_WAY, message, lot.key, index, job.station)
    if count.goes_on:
        for job in jobs:
            resumed[job.station].append(_resumed(case, lot, index, job, None))


def _return_violations(case: Case, lot: Lot, index: int, operation: Operation) -> Iterator[Violation]:
    """What was sent out before the plan comes back."""
    came = sum(was_sent_out(case, row) for row in case.rows_of(lot.key, index))
    if came < len(operation.open_jobs):
        told = f"{len(operation.open_jobs) - came} of {len(operation.open_jobs)} sent out earlier do not come back"
        yield Violation(Rule.OUTSIDE, told, lot.key, index)


def _must_end(case: Case, operation: Operation, job: OpenJob) -> bool:
    """Tell whether the station of a job is one for it, and has the hours for all of it, however much is done."""
    return can_do(case.stations[job.station], operation) and could_end(case, operation, job)


def _resumed(case: Case, lot: Lot, index: int, job: OpenJob, row: Row | None) -> Resumed:
    operation = lot.operations[index]
    work = workload(operation, case.stations[job.station], job.counted + job.pieces)
    return Resumed(lot, index, job, row, setup_of(operation, job), work)


def _reckon_behind(case: Case, station: Station, resumed: list[Resumed]) -> None:
    """Note what jobs have behind them: where that is not told the hours go to one load after another."""
    free = case.shop.now - HORIZON
    for load in sorted(_loads(resumed), key=lambda load: (_begun(load), min(_place(one) for one in load))):
        over = free
        for one in load:
            if one.job.worked_s is None:
                over = max(over, _spend_hours(case, station, one, max(one.job.started_at, free)))
            else:
                one.behind_s = one.job.worked_s
        free = over


def _spend_hours(case: Case, station: Station, one: Resumed, begun: int) -> int:
    """Give a job the hours from a second to now, and return when all of it was done by them; now where it is not."""
    hours, now = case.hours[station.key], case.shop.now
    in_setup_s = hours.attended.count(begun, now)
    if in_setup_s < one.all_setup_s:
        one.behind_s = in_setup_s
        return now
    set_up = hours.attended.done_at(begun, one.all_setup_s)
    in_work_s = hours.running.count(set_up, now)
    one.behind_s = one.all_setup_s + in_work_s
    return hours.running.done_at(set_up, one.work.seconds) if in_work_s >= one.work.seconds else now


def _tell_row(case: Case, one: Resumed) -> None:
    """Tell the run of a job when its work counts from, and when each of its pieces is done."""
    row, counted = one.row, one.job.counted
    if row is None:
        return
    row.seconds_before, row.shared = min(0, one.all_setup_s - one.behind_s), one.job.load is not None
    row.work = replace(one.work, taken_up=one.work.taken_up[counted:], done=one.work.done[counted:])
    try:
        row.work_from = case.hours[one.job.station].attended.done_at(row.run.start, one.setup_s)
    except NeverDoneError:
        row.work_from = row.run.start


def _loads(resumed: list[Resumed]) -> list[list[Resumed]]:
    loads: dict[object, list[Resumed]] = defaultdict(list)
    for one in resumed:
        loads[one.job.load or one].append(one)
    return list(loads.values())


def _place(one: Resumed) -> tuple[object, ...]:
    """Return what decides between loads begun at once."""
    return (*rank(one.lot), one.index)


def _order_violations(case: Case, station: Station, resumed: list[Resumed]) -> Iterator[Violation]:
    """The loads follow one another from now on, the first begun first, before anything else."""
    in_order = sorted(_loads(resumed), key=lambda load: (_runs(load)[0].start, _runs(load)[0].end, _begun(load)))
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
            yield of_run(Rule.UNDER_WAY, _runs(load)[0], "what is left of it is never done")
            continue
        yield from _rest_violations(load, slowest.setup_s, at, end)
        at = end
    for planned in case.loads[station.key]:
        if not planned.run.under_way and planned.run.start < at:
            yield of_run(Rule.OVERLAP, planned.run, f"jobs under way go on until {at}")


def _begun(load: list[Resumed]) -> int:
    return min(one.job.started_at for one in load)


def _runs(load: list[Resumed]) -> list[PlannedRun]:
    return [one.row.run for one in load if one.row is not None]


def _rest_violations(load: list[Resumed], setup_s: int, start: int, end: int) -> Iterator[Violation]:
    """All jobs of a load take what is left of the slowest."""
    for run in _runs(load):
        if (run.start, run.end) != (start, end):
            yield of_run(Rule.UNDER_WAY, run, f"it goes on from {start} to {end}")
        if run.setup_s != setup_s:
            yield of_run(Rule.SETUP, run, f"{run.setup_s} s of set-up instead of the {setup_s} s left")
