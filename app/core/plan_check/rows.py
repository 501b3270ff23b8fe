"""The runs of a plan beside what the problem says of them."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from app.core.calendar_hours import OpenHours
from app.core.plan_check.faults import lot_is_faulty, needs_station, operation_is_faulty
from app.core.plan_check.hours import FAR, Hours, StationHours, Timeline, until_closed
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import Workload, workload
from app.core.planning.result_file import Plan, PlannedRun
from app.core.shop import Lot, Operation, OverClosed, Shop, Station
from app.core.taking import PalletLoad


@dataclass(eq=False, slots=True)
class Row:
    """A run with its lot, operation, station and work.

    Attributes:
        work_from: the second from which ``work`` counts, in running seconds of its station.
        seconds_before: zero, or less for a job under way: the seconds of ``work`` that were done before.
        mixed_in: whether it was loaded while the run before it was cut.
        shared: whether it is a job under way that shares its load with others.
    """

    run: PlannedRun
    lot: Lot
    operation: Operation
    station: Station | None = None
    work: Workload = field(default_factory=lambda: Workload([], []))
    work_from: int = 0
    seconds_before: int = 0
    mixed_in: bool = False
    shared: bool = False


@dataclass(eq=False, slots=True)
class Load:
    """What a station does at once: one run, or the runs of a shared batch; the first decides on set-up."""

    rows: list[Row]

    @property
    def first(self) -> Row:
        """The first of its runs in the plan."""
        return self.rows[0]

    @property
    def run(self) -> PlannedRun:
        """The first run."""
        return self.rows[0].run


class Case:
    """A shop, a plan for it, and the plan's runs sorted by where they belong."""

    def __init__(self, shop: Shop, plan: Plan) -> None:
        self.shop = shop
        self.plan = plan
        self.lots = {lot.key: lot for lot in shop.lots}
        self.stations = {station.key: station for station in shop.stations}
        self._told = {one.lot: one for one in plan.lots}
        crews = None if shop.people is None else [_until_closed(one.calendar.hours, shop.now) for one in shop.people]
        self.hours = _hours(shop, crews)
        self.crews = None if crews is None else list(zip(shop.people or (), crews, strict=True))
        self.receiving = _until_closed(shop.receiving.hours, shop.now)
        self.unusable: list[Violation] = []
        self.rows = [row for run in plan.operations for row in self._row(run)]
        self._of_operation: dict[tuple[str, int], list[Row]] = defaultdict(list)
        for row in sorted(self.rows, key=lambda row: (row.run.start, row.run.end)):
            self._of_operation[row.run.lot, row.run.index].append(row)
        self.loads = {station.key: list(self._loads(station)) for station in shop.stations}

    def rows_of(self, lot: str, index: int) -> list[Row]:
        """Return the rows of an operation by start."""
        return self._of_operation.get((lot, index), [])

    def status_of(self, lot: str) -> str:
        """Return what the plan says has become of a lot; empty where it says nothing."""
        return self._told[lot].status if lot in self._told else ""

    def finish_told(self, lot: str) -> int | None:
        """Return when the plan says that a lot is finished; None where it says nothing."""
        return self._told[lot].finish if lot in self._told else None

    def _row(self, run: PlannedRun) -> Iterator[Row]:
        """Yield the row of a run, unless the problem does not have what it names."""
        wrong = self._wrong(run)
        if wrong is not None:
            self.unusable.append(wrong)
            return
        lot = self.lots[run.lot]
        operation = lot.operations[run.index]
        if run.station is None:
            yield Row(run, lot, operation)
        else:
            station = self.stations[run.station]
            yield Row(run, lot, operation, station, workload(operation, station, run.pieces), run.start)

    def _wrong(self, run: PlannedRun) -> Violation | None:
        lot = self.lots.get(run.lot)
        if lot is None or not 0 <= run.index < len(lot.operations):
            return of_run(Rule.UNKNOWN, run, "there is no such lot or operation")
        operation = lot.operations[run.index]
        if lot_is_faulty(lot) or operation_is_faulty(self.shop, operation):
            return of_run(Rule.STATUS, run, "is planned, though its figures are wrong")
        if needs_station(operation) and run.station not in self.stations:
            return of_run(Rule.UNKNOWN, run, "there is no such station")
        if not needs_station(operation):
            wrong = _wrong_outside(run)
            if wrong is not None:
                return wrong
        return self._wrong_figures(lot, run)

    def _wrong_figures(self, lot: Lot, run: PlannedRun) -> Violation | None:
        """Find figures that are beyond all reason, so that nothing is reckoned with them."""
        most = sum(one.waiting + one.in_work + one.counted + one.held for one in lot.operations)
        if not 1 <= run.pieces <= most:
            return of_run(Rule.COUNT, run, f"has {run.pieces} of the lot's {most} pieces")
        now = self.shop.now
        if run.end < run.start or run.setup_s < 0 or run.start < now - FAR or now + FAR < run.end:
            return of_run(Rule.TIME, run, "runs backwards, or lies more than ten years away")
        return None

    def _loads(self, station: Station) -> Iterator[Load]:
        """Yield the loads of a station in the order in which they start."""
        shared: dict[object, list[Row]] = defaultdict(list)
        for row in self.rows:
            if row.run.station == station.key:
                shared[row.run.load or row].append(row)
        yield from sorted(map(Load, shared.values()), key=lambda load: (load.run.start, load.run.end))


def _wrong_outside(run: PlannedRun) -> Violation | None:
    """Find what no run has that takes no station; what was sent out before the plan is known by when it comes back."""
    if run.station is not None:
        return of_run(Rule.STATION, run, "needs no station")
    if run.setup_s:
        return of_run(Rule.SETUP, run, f"{run.setup_s} s of set-up where no station is")
    if run.under_way:
        return of_run(Rule.UNDER_WAY, run, "no such job is under way")
    return None


def _until_closed(rules: OpenHours, now: int) -> Timeline:
    """Return the seconds of a calendar."""
    return until_closed(Hours(rules).open, now)


def _hours(shop: Shop, crews: Sequence[Timeline] | None) -> dict[str, StationHours]:
    """Return the hours of each station; those with the same rules share them."""
    made: dict[tuple[object, int], StationHours] = {}
    found = {}
    for station in shop.stations:
        alone_s = station.unattended_s if station.over_closed is OverClosed.UNATTENDED else 0
        key = (station.calendar.hours, alone_s)
        if key not in made:
            made[key] = StationHours(station.calendar.hours, crews, alone_s, shop.now)
        found[station.key] = made[key]
    return found


def is_pallets(row: Row) -> bool:
    """Tell whether a run is one of pallet loads at a station that has two pallets or more."""
    return isinstance(row.operation.taking, PalletLoad) and row.station is not None and row.station.pallets > 1
