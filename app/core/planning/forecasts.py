"""The forecast: what the decoder plans by the ranks that a shop has, with the reasons for when each lot is done."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import groupby

from app.core.planning import arrays as a
from app.core.planning.chains import Bench, Load, chain
from app.core.planning.decoding import PLAIN, Decoded, Engine, decode
from app.core.planning.kernels.rows import calendar_at
from app.core.planning.kernels.spans import open_between, span_after
from app.core.planning.obstacles import Status
from app.core.planning.outcome import obstacle_of, run_rows
from app.core.planning.results import Forecast, LotForecast, OperationForecast, Run
from app.core.shop import Batch, Shop
from app.core.worktime import Span


def forecast(shop: Shop, engine: Engine = PLAIN) -> Forecast:
    """Return when every operation of every lot will run, and when each lot will be done, if nothing changes.

    A free station takes the waiting operation with the lowest rank (see ``app.core.planning``), so the plan is what
    people who keep to that rule would do. It depends on nothing but ``shop``: the same shop, with its lots in any
    order, gives the same forecast. A lot that cannot be planned to its end has a status and its obstacle; what can be
    done of it is planned, and so are the other lots.
    """
    return forecast_of(decode(shop, engine))


def forecast_of(decoded: Decoded) -> Forecast:
    """Return the forecast that a decoder has planned."""
    runs = _runs(decoded)
    by_operation: defaultdict[tuple[str, str], list[Run]] = defaultdict(list)
    by_station: dict[str, list[Run]] = {station.key: [] for station in decoded.packing.shop.stations}
    for run in sorted(runs, key=lambda run: run.start):  # the first of a shared batch stays first
        by_operation[run.lot, run.operation].append(run)
        if run.station is not None:
            by_station[run.station].append(run)
    benches = _benches(decoded, by_station)
    lots = (_lot(decoded, place, runs, by_operation, benches) for place in range(len(decoded.packing.lots)))
    return Forecast(
        now=decoded.packing.shop.now,
        lots={lot.key: lot for lot in lots},
        stations={key: tuple(found) for key, found in by_station.items()},
    )


def _runs(decoded: Decoded) -> list[Run]:
    """Return the runs as the decoder has them, each knowing the one that its pieces came from."""
    packing, runs = decoded.packing, list[Run]()
    now, stations = packing.shop.now, packing.shop.stations
    for row in run_rows(decoded):
        lot, index = packing.operations[row[a.R_OP]]
        runs.append(
            Run(
                lot=packing.lots[lot].key,
                operation=packing.lots[lot].operations[index].key,
                station=stations[row[a.R_STATION]].key if row[a.R_STATION] >= 0 else None,
                start=row[a.R_START] + now,
                end=row[a.R_END] + now,
                setup_s=row[a.R_SETUP],
                work_s=row[a.R_WORK],
                pieces=row[a.R_PIECES],
                arrived=row[a.R_ARRIVED] + now,
                ready=row[a.R_READY] + now,
                load=row[a.R_LOAD],
                guess=bool(row[a.R_GUESS]),
                under_way=bool(row[a.R_UNDER_WAY]),
                after=runs[row[a.R_AFTER]] if row[a.R_AFTER] >= 0 else None,
            )
        )
    return runs


def _benches(decoded: Decoded, by_station: Mapping[str, Sequence[Run]]) -> dict[str, Bench]:
    """Return the stations as chains look at them."""
    shop, tables = decoded.packing.shop, decoded.packing.tables
    p = [int(each) for each in decoded.arrays.fixed]
    crewed, waits = shop.people is not None, _waits(shop)
    benches = {}
    for station, row in zip(shop.stations, tables.stations, strict=True):
        times = _Times(p, shop.now, calendar_at(p, row[a.S_ATTENDED]), calendar_at(p, row[a.S_RUNNING]))
        loads = _loads(by_station[station.key], times, waits, crewed=crewed)
        benches[station.key] = Bench(station, times.attended, times.attended_s, times.running, loads, crewed)
    return benches


def _waits(shop: Shop) -> dict[tuple[str, str], int]:
    """Return the operations whose batches may wait for others, by lot, and for how long."""
    operations = ((lot, one, one.taking) for lot in shop.lots for one in lot.operations)
    return {(lot.key, one.key): how.wait_s for lot, one, how in operations if isinstance(how, Batch) and how.wait_s}


def _loads(runs: Sequence[Run], times: "_Times", waits: Mapping[tuple[str, str], int], *, crewed: bool) -> list[Load]:
    """Return what a station does, each load behind the one before: a pallet may be loaded while another is cut."""
    loads: list[Load] = []
    before = end = 0
    for _, same in groupby(runs, key=lambda run: run.load):
        first, *others = same
        start, kept_from = max(first.start, end), first.start
        if (others or not crewed) and not first.under_way:  # else it is taken to have waited for people
            wait_s = waits.get((first.lot, first.operation), 0)
            kept_from = max(min(run.ready for run in (first, *others)), start - wait_s)
        load = Load(first.lot, start, max(first.end, end), before, bool(others), max(kept_from, end))
        loads.append(load)
        before += times.attended_s(load.start, load.end)
        end = load.end
    return loads


class _Times:
    """The hours of a station as the decoder has laid them out, asked in seconds since the epoch."""

    def __init__(self, p: list[int], now: int, attended: int, running: int) -> None:
        self._p, self._now, self._attended, self._running = p, now, attended, running

    def attended(self, start: int, end: int) -> list[Span]:
        """Return the attended spans that overlap ``[start, end)``, whole."""
        p, now = self._p, self._now
        at, last = span_after(p, self._attended, start - now), p[self._attended + a.K_END]
        found = []
        while 0 <= at < last and p[at + a.SP_OPENS] < end - now:
            found.append(Span(p[at + a.SP_OPENS] + now, p[at + a.SP_CLOSES] + now))
            at += a.SPAN_COLUMNS
        return found

    def attended_s(self, start: int, end: int) -> int:
        """Return the attended seconds in ``[start, end)``; none when it ends before it starts."""
        return open_between(self._p, self._attended, start - self._now, end - self._now) if start < end else 0

    def running(self, start: int, end: int) -> int:
        """Return the seconds in ``[start, end)`` in which work goes on."""
        return open_between(self._p, self._running, start - self._now, end - self._now)


def _lot(
    decoded: Decoded,
    place: int,
    runs: Sequence[Run],
    by_operation: Mapping[tuple[str, str], Sequence[Run]],
    benches: Mapping[str, Bench],
) -> LotForecast:
    """Return what is planned of one lot."""
    lot, (fixed, state) = decoded.packing.lots[place], decoded.arrays
    now = decoded.packing.shop.now
    row = fixed[a.F_JOURNEYS] + place * a.STATE_LOT_COLUMNS
    operations = tuple(
        OperationForecast(one.key, tuple(by_operation.get((lot.key, one.key), ()))) for one in lot.operations
    )
    obstacle = obstacle_of(decoded, place)
    finish = int(state[row + a.Z_FINISH]) + now
    if obstacle is not None:
        through = state[row + a.Z_LEFT] < decoded.packing.tables.lots[place][a.L_LEFT]
        return LotForecast(lot.key, obstacle.status, obstacle, None, finish if through else None, operations)
    after = state[row + a.Z_LAST_RUN]
    last = runs[(after - fixed[a.F_RUNS]) // a.RUN_COLUMNS] if after >= 0 else None
    reasons = chain(lot, last, finish, now, benches)
    return LotForecast(lot.key, Status.PLANNED, None, finish, finish, operations, reasons)
