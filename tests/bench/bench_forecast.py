"""Forecast and promise of 300 lots x 7 operations over 15 stations, beside a bare event loop in the same run.

Run as ``python -m tests.bench.bench_forecast``; each line printed is one JSON object.
"""

import random
from datetime import UTC, datetime, timedelta
from datetime import time as clock_time
from functools import partial
from zoneinfo import ZoneInfo

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.planning.forecasts import forecast
from app.core.promise import busy_stretches, promise
from app.core.shop import BarFed, Lot, Operation, PalletLoad, Shop, SinglePiece, Station, Taking
from tests.bench.bare_loop import BareCalendar, bare_loop
from tests.bench.measuring import best_of, report

ZONE = "America/Chicago"
NOW = int(datetime(2026, 3, 2, 9, tzinfo=ZoneInfo(ZONE)).timestamp())
OPERATIONS = 7
STATIONS = 15
WEEKS = (
    [("07:00", "15:30", range(5))],
    [("06:00", "14:00", range(5)), ("14:00", "22:00", range(5)), ("06:00", "12:00", [5])],
    [("00:00", "00:00", range(5))],
)


def open_hours(week: int) -> OpenHours:
    """Return one of the three weeks that stations of the bench keep."""
    at = clock_time.fromisoformat
    return OpenHours(ZONE, tuple(Shift(day, at(start), at(end)) for start, end, days in WEEKS[week] for day in days))


def make_shop(lots: int, *, seed: int = 1) -> Shop:
    """Return a shop in which about as much work waits for each station as ``lots`` / 15 lots bring."""
    draw = random.Random(seed)
    calendars = [WorkCalendar(open_hours(week)) for week in range(len(WEEKS))]
    stations = tuple(
        Station(f"S{n}", f"W{n // 2}", calendars[n % 3], pallets=1 + n % 2, pallet_change_ms=20_000)
        for n in range(STATIONS)
    )
    centers = sorted({station.work_center for station in stations})
    return Shop(NOW, stations, tuple(make_lot(draw, number, centers) for number in range(lots)), calendars[0])


def make_lot(draw: random.Random, number: int, centers: list[str]) -> Lot:
    """Return a lot whose pieces all wait at its first operation, with every way of taking pieces along its routing."""
    pieces, part = draw.randint(10, 100), draw.randint(0, 40)
    steps = tuple(
        Operation(
            str(10 * step),
            draw.choice(centers),
            make_taking(draw),
            setup_s=draw.randint(10, 60) * 60,
            family=f"{part}/{step}",
            waiting=pieces if step == 1 else 0,
            send_ahead=draw.choice([None, None, None, 10]),
        )
        for step in range(1, OPERATIONS + 1)
    )
    return Lot(f"L{number}", f"L{number:06}", steps, due=NOW + draw.randint(1, 90) * 86_400)


def make_taking(draw: random.Random) -> Taking:
    """Return one of the ways of taking pieces."""
    cycle = draw.randint(20, 300) * 1_000
    takings: list[Taking] = [
        SinglePiece(cycle),
        PalletLoad(4, 4 * cycle, 60_000, 30_000),
        BarFed(12, cycle, 45_000),
    ]
    return draw.choice(takings)


def main() -> None:
    """Run the bench."""
    shop = make_shop(300)
    planned = forecast(shop)
    number = {station.key: n for n, station in enumerate(shop.stations)}
    jobs = [
        [
            (number[run.station], run.setup_s + run.work_s)
            for one in lot.operations
            for run in one.runs[:1]
            if run.station
        ]
        for lot in planned.lots.values()
    ]
    first = datetime.fromtimestamp(NOW, UTC).date() - timedelta(days=1)
    weeks = [BareCalendar(open_hours(week).open_spans(first, 3_000)) for week in range(len(WEEKS))]
    calendars = [weeks[n % 3] for n in range(STATIONS)]
    bare_s = best_of(7, lambda: bare_loop(jobs, calendars, NOW))
    forecast_s = best_of(7, lambda: forecast(make_shop(300)))
    making_s = best_of(7, lambda: make_shop(300))
    report("bare event loop", lots=300, operations=sum(map(len, jobs)), seconds=bare_s)
    report("forecast", lots=300, seconds=forecast_s - making_s, ratio_to_bare=(forecast_s - making_s) / bare_s)
    busy, new = busy_stretches(shop, planned), make_lot(random.Random(2), 300, [f"W{n}" for n in range(8)])
    report("promise", seconds=best_of(20, lambda: promise(shop, busy, new)))
    for lots in (300, 1_000, 3_000, 10_000):
        grown = make_shop(lots)
        seconds = best_of(1 if lots > 3_000 else 3, partial(forecast, grown))
        report(
            "forecast growth", lots=lots, seconds=seconds, microseconds_per_operation=seconds / lots / OPERATIONS * 1e6
        )


if __name__ == "__main__":
    main()
