"""What stations do: the right ones, in their hours, with set-up and time as they should be, one load at a time."""

from collections.abc import Iterator
from itertools import pairwise

from app.core.plan_check.hours import NeverDoneError, StationHours
from app.core.plan_check.rows import Case, Load, Row, is_pallets
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import whole_seconds, workload
from app.core.shop import Operation, OverClosed, Station
from app.core.taking import PalletLoad


def violations(case: Case) -> Iterator[Violation]:
    """Yield what is wrong with the loads of every station, and give their rows the second from which work counts."""
    for station in case.shop.stations:
        yield from _of_station(case, station)


def _of_station(case: Case, station: Station) -> Iterator[Violation]:
    hours, loads = case.hours[station.key], case.loads[station.key]
    family, fixture = station.set_up_for, station.set_up_fixture
    before: Load | None = None
    for load in loads:
        for row in load.rows:
            yield from _place_violations(case, station, row)
        if not load.run.under_way:
            needed = needed_setup(load.first.operation, family, fixture)
            mixed = before is not None and _is_mixed_in(station, before, load)
            yield from _mixed_violations(hours, before, load) if mixed and before else ()
            yield from _begin_violations(hours, load, needed)
            yield from _end_violations(station, hours, load, needed, before if mixed else None)
        family, fixture = load.first.operation.family, load.first.operation.fixture
        before = load
    for one, other in pairwise(loads):
        if other.run.start < one.run.end and not _is_mixed_in(station, one, other):
            yield of_run(Rule.OVERLAP, other.run, f"lot {one.run.lot} is there until {one.run.end}")


def _place_violations(case: Case, station: Station, row: Row) -> Iterator[Violation]:
    """The station can do it, and it is time for it."""
    if not row.run.under_way and not can_do(station, row.operation):
        yield of_run(Rule.STATION, row.run, "this station cannot do it")
    may_from = case.shop.now if row.run.under_way else max(case.shop.now, row.lot.released)
    if row.run.start < may_from:
        yield of_run(Rule.TOO_EARLY, row.run, f"nothing of it begins before {may_from}")


def can_do(station: Station, operation: Operation) -> bool:
    """Tell whether an operation may go to a station."""
    if operation.stations:
        return station.key in operation.stations
    return station.work_center == operation.work_center


def needed_setup(operation: Operation, family: str | None, fixture: str | None) -> int:
    """Return the seconds of set-up after a run of a family and on a fixture."""
    if operation.family and operation.family == family:
        return 0
    if operation.fixture and operation.fixture == fixture and operation.fixture_setup_s is not None:
        return operation.fixture_setup_s
    return operation.setup_s


def _begin_violations(hours: StationHours, load: Load, needed: int) -> Iterator[Violation]:
    """Somebody is there when it begins, and the set-up is what it should be."""
    if not hours.attended.has(load.run.start):
        yield of_run(Rule.UNATTENDED, load.run, "nobody is there when it begins")
    for row in load.rows:
        if row.run.setup_s != needed:
            yield of_run(Rule.SETUP, row.run, f"{row.run.setup_s} s of set-up instead of {needed} s")


def _end_violations(
    station: Station, hours: StationHours, load: Load, needed: int, mixed_after: Load | None
) -> Iterator[Violation]:
    """It ends when set-up and work are done, in open hours throughout where it must fit into them."""
    try:
        for row in load.rows:
            _reckon(hours, row, needed, mixed_after)
            due = hours.running.done_at(row.work_from, row.work.seconds)
            if row.run.end != due:
                yield of_run(Rule.TIME, row.run, f"its work is done at {due}")
    except NeverDoneError:
        yield of_run(Rule.TIME, load.run, "its work is never done")
        return
    run = load.run
    if station.over_closed is OverClosed.FIT and hours.attended.count(run.start, run.end) < run.end - run.start:
        yield of_run(Rule.FIT, run, "it does not fit into the open hours without a pause")


def _reckon(hours: StationHours, row: Row, needed: int, mixed_after: Load | None) -> None:
    """Note from when on a row's work counts."""
    if mixed_after is None:
        row.work_from = hours.attended.done_at(row.run.start, needed)
        return
    other = mixed_after.first
    row.work_from = hours.running.done_at(other.work_from, whole_seconds(other.work.last_cut))
    taking = other.operation.taking
    if row.station is not None and isinstance(taking, PalletLoad):
        row.mixed_in = True
        row.work = workload(row.operation, row.station, row.run.pieces, after=taking)


# Pallets with different parts.


def _is_mixed_in(station: Station, before: Load, load: Load) -> bool:
    """Tell whether a load can only have begun on the other pallet, while the one before was cut."""
    alone = len(before.rows) == len(load.rows) == 1
    return (
        alone
        and load.run.start < before.run.end
        and is_pallets(before.first)
        and is_pallets(load.first)
        and not before.run.under_way
        and not load.run.under_way
        and load.run.setup_s == 0
    )


def _mixed_violations(hours: StationHours, before: Load, load: Load) -> Iterator[Violation]:
    """The tender is free to load it, and is done before the machine asks for it."""
    other = before.first
    passed_ms = 1000 * hours.running.count(other.work_from, load.run.start)
    if load.run.start < other.work_from or passed_ms < other.work.tender_free:
        yield of_run(Rule.PALLETS, load.run, f"the tender is still busy with lot {before.run.lot}")
    taking = load.first.operation.taking
    if isinstance(taking, PalletLoad) and passed_ms + taking.load_ms > 1000 * whole_seconds(other.work.last_cut):
        yield of_run(Rule.PALLETS, load.run, f"it is not loaded when lot {before.run.lot} has been cut")
