"""Open time and the times of pieces, reckoned the slow way and sharing no code with the calendars and the forecast.

Open time is found by asking the wall clock at every quarter of an hour, so shifts, overtime and downtime must lie on
whole quarters, and no shift may begin or end where the clocks change. Pallets are followed by stepping through what
tender and machine do.
"""

from datetime import datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from app.core.calendar_hours import OpenHours, Shift
from app.core.shop import BarFed, Batch, LeadTime, Operation, PalletLoad, SinglePiece, Station

QUARTER = 900


@lru_cache(maxsize=1_000_000)
def quarter_is_open(hours: OpenHours, quarter: int) -> bool:
    """Tell whether the quarter of an hour that begins at ``quarter * 900`` seconds since the epoch is open."""
    second = quarter * QUARTER
    if any(down.start <= second < down.end for down in hours.downtimes):
        return False
    if any(extra.start <= second < extra.end for extra in hours.overtime):
        return True
    local = datetime.fromtimestamp(second, ZoneInfo(hours.zone))
    days = [(day, local.replace(tzinfo=None) - day) for day in (_midnight(local), _midnight(local) - timedelta(days=1))]
    return any(
        shift.weekday == day.weekday() and day.date() not in hours.closed_days and _covers(shift, since)
        for day, since in days
        for shift in hours.shifts
    )


def _midnight(local: datetime) -> datetime:
    return datetime.combine(local.date(), datetime.min.time())


def _covers(shift: Shift, since_midnight: timedelta) -> bool:
    first, last = (timedelta(hours=at.hour, minutes=at.minute) for at in (shift.start, shift.end))
    return first <= since_midnight < (last if last > first else last + timedelta(days=1))


def open_seconds(hours: OpenHours, start: int, end: int) -> int:
    """Return the open seconds in ``[start, end)``."""
    total = 0
    for quarter in range(start // QUARTER, -(-end // QUARTER)):
        if quarter_is_open(hours, quarter):
            total += min(end, (quarter + 1) * QUARTER) - max(start, quarter * QUARTER)
    return max(total, 0)


def when_done(hours: OpenHours, start: int, work: int) -> int:
    """Return when ``work`` open seconds from ``start`` on are done."""
    at = start
    while work > 0:
        edge = (at // QUARTER + 1) * QUARTER
        if quarter_is_open(hours, at // QUARTER):
            step = min(work, edge - at)
            work, at = work - step, at + step
        else:
            at = edge
    return at


def back_from_outside(hours: OpenHours, start: int, taking: LeadTime) -> int:
    """Return when what left at ``start`` can be taken in."""
    zone = ZoneInfo(hours.zone)
    local = datetime.fromtimestamp(start, zone)
    wall, days = local.replace(tzinfo=None), taking.days
    while days:
        wall += timedelta(days=1)
        first, last = (_midnight(wall + timedelta(days=day)).replace(tzinfo=zone).timestamp() for day in (0, 1))
        quarters = range(int(first) // QUARTER, int(last) // QUARTER)
        days -= not taking.working_days or any(quarter_is_open(hours, quarter) for quarter in quarters)
    second = max(start, int(wall.replace(tzinfo=zone).timestamp()))
    while not quarter_is_open(hours, second // QUARTER):
        second = (second // QUARTER + 1) * QUARTER
    return second


def whole_seconds(milliseconds: int) -> int:
    """Round up to a second."""
    return (milliseconds + 999) // 1000


def piece_times(operation: Operation, station: Station, pieces: int) -> tuple[list[int], list[int]]:
    """Return for each piece of a run when it is taken up and when it is done, in ms after set-up."""
    match operation.taking:
        case SinglePiece(cycle_ms):
            return [piece * cycle_ms for piece in range(pieces)], [(piece + 1) * cycle_ms for piece in range(pieces)]
        case BarFed() as taking:
            return bar_times(taking, pieces)
        case PalletLoad(size) as taking:
            loading, unloaded = pallet_times(taking, station, -(-pieces // size))
            return [loading[piece // size] for piece in range(pieces)], [
                unloaded[piece // size] for piece in range(pieces)
            ]
        case Batch(time_ms=time_ms):
            return [0] * pieces, [time_ms] * pieces
    raise AssertionError(operation)


def bar_times(taking: BarFed, pieces: int) -> tuple[list[int], list[int]]:
    """Return when each piece is taken up and done, bar by bar."""
    clock, up, done = 0, [], []
    for piece in range(pieces):
        clock += taking.bar_change_ms if piece % taking.pieces_per_bar == 0 else 0
        up.append(clock)
        clock += taking.cycle_ms
        done.append(clock)
    return up, done


def pallet_times(taking: PalletLoad, station: Station, loads: int) -> tuple[list[int], list[int]]:
    """Return when the loading of each load starts and when each is unloaded."""
    loading, unloaded = [], [0] * loads
    if station.pallets == 1:
        each = taking.load_ms + taking.cycle_ms + taking.unload_ms
        return [each * load for load in range(loads)], [each * (load + 1) for load in range(loads)]
    tender = machine = 0
    for load in range(loads):
        if load >= 2:
            tender += taking.unload_ms
            unloaded[load - 2] = tender
        loading.append(tender)
        tender += taking.load_ms
        machine = max(tender, machine) + station.pallet_change_ms  # the loaded pallet goes in, the other comes out,
        tender = max(tender, machine)  # for which the tender waits
        machine += taking.cycle_ms
    if loads >= 2:
        tender += taking.unload_ms
        unloaded[loads - 2] = tender
    unloaded[loads - 1] = max(machine + station.pallet_change_ms, tender) + taking.unload_ms
    return loading, unloaded
