"""Where open hours or people stop a lot: what no station can do, or go on with, as far as a plan looks ahead."""

from collections.abc import Iterator

from app.core.plan_check.at_stations import can_do, needed_setup
from app.core.plan_check.faults import needs_station
from app.core.plan_check.hands import Hands
from app.core.plan_check.hours import HORIZON, NeverDoneError, StationHours
from app.core.plan_check.largest import could_hold
from app.core.plan_check.needs import Need, tended
from app.core.plan_check.outside import back_at
from app.core.plan_check.rows import Case
from app.core.plan_check.stretches import Stretch
from app.core.plan_check.work import setup_of, workload
from app.core.shop import Lot, OpenJob, Operation, OverClosed, Station
from app.core.taking import Batch, LeadTime


def stands_still(case: Case, lot: Lot, index: int, in_one: int, since: int, largest: int) -> bool:
    """Tell whether there is no station, or no hour, for a run of so many pieces that an operation has by a second.

    Only stations that could hold the ``largest`` run that is still to begin of it are asked.
    """
    operation = lot.operations[index]
    if isinstance(operation.taking, LeadTime):
        back = back_at(case, since, operation.taking)
        return back is None or back > case.shop.now + HORIZON
    if not needs_station(operation):
        return False
    run = max(1, in_one)
    able = [one for one in case.shop.stations if can_do(one, operation) and could_hold(case, one, operation, largest)]
    return _stays_begun(case, lot, index) or not any(_holds(case, one, operation, run, since) for one in able)


def _stays_begun(case: Case, lot: Lot, index: int) -> bool:
    """Tell whether a job under way has no run, and its station too few hours to go on with it."""
    operation = lot.operations[index]
    going_on = [(row.run.station, row.run.pieces) for row in case.rows_of(lot.key, index) if row.run.under_way]
    for job in operation.open_jobs:
        if (job.station, job.pieces) in going_on:
            going_on.remove((job.station, job.pieces))
        elif job.station in case.stations and not could_end(case, operation, job):
            return True
    return False


def could_end(case: Case, operation: Operation, job: OpenJob) -> bool:
    """Tell whether a job could be done, even from its beginning, behind what else is under way at its station."""
    station, hours = case.stations[job.station], case.hours[job.station]
    since = max([case.shop.now, *(load.run.end for load in case.loads[station.key] if load.run.under_way)])
    if hours.stays_closed(since):
        return False
    work_s = workload(operation, station, job.counted + job.pieces).seconds
    return _in_time(case, hours, since, setup_of(operation, job), work_s)


def _holds(case: Case, station: Station, operation: Operation, pieces: int, since: int) -> bool:
    """Tell whether a station could do a run after a second and after all that it does, as far as a plan looks ahead.

    It is then set up for the last that it does.
    """
    hours = case.hours[station.key]
    since = max([since, *(load.run.end for load in case.loads[station.key])])
    if since > case.shop.now + HORIZON or hours.stays_closed(since):
        return False
    in_one = 1 if isinstance(operation.taking, Batch) else pieces
    setup_s, work_s = _setup_at_last(case, station, operation), workload(operation, station, in_one).seconds
    begins = _beginnings(case, station, since, tended(operation, station), setup_s, work_s)
    if station.over_closed is OverClosed.FIT:
        return any(closes - second >= setup_s + work_s for second, closes in begins)
    first = next(begins, None)
    return first is not None and _in_time(case, hours, first[0], setup_s, work_s)


def _in_time(case: Case, hours: StationHours, since: int, setup_s: int, work_s: int) -> bool:
    """Tell whether set-up and work that begin at a second are done as far as a plan looks ahead."""
    ends = _end(hours, since, setup_s, work_s)
    return ends is not None and ends[1] <= case.shop.now + HORIZON


def _end(hours: StationHours, since: int, setup_s: int, work_s: int) -> tuple[int, int] | None:
    """Return when set-up and work that begin at a second are done, or None where they never are."""
    try:
        set_up = hours.attended.done_at(since, setup_s)
        return set_up, hours.running.done_at(set_up, work_s)
    except NeverDoneError:
        return None


def _setup_at_last(case: Case, station: Station, operation: Operation) -> int:
    """Return the set-up that an operation would take behind all that a station does."""
    last = [load.first.operation for load in case.loads[station.key][-1:]]
    family, fixture = (last[0].family, last[0].fixture) if last else (station.set_up_for, station.set_up_fixture)
    return needed_setup(operation, family, fixture)


def _beginnings(case: Case, station: Station, since: int, tend: int, setup_s: int, work_s: int) -> Iterator[Stretch]:
    """Yield from when a run finds its people free at a station in the time looked ahead, and when that closes next."""
    hands, hours = Hands(case), case.hours[station.key]
    for opens, closes in hours.without_pauses(since):
        for second in sorted({opens} | hands.changes(opens, closes)):
            ends = _end(hours, second, setup_s, work_s)
            if ends is not None and hands.enough((second, True), Need(station.key, second, ends[1], tend, ends[0])):
                yield second, closes
