"""Thirty small shops of six lots with four operations; of most of them a constraint solver proved the optimum.

Even numbers have one calendar, people who set up and tend, pieces sent ahead and a lot that goes into another; odd ones
a calendar for each shift and no limit by people. All have stations of different speed, set-ups by family, releases, and
due dates that cannot all be met.
"""

import json
import random
from datetime import time
from typing import Any

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.planning.result_file import Plan, PlannedLot, PlannedRun
from app.core.shop import Crew, Lot, Operation, Shop, SinglePiece, Station
from tests.core.plan_check.plans import summed_up
from tests.published.job_shops import FOLDER

SHOPS = 30
MONDAY = 1_767_571_200  # 5 January 2026 00:00 UTC
DAY, HOUR = 86_400, 3_600
CENTERS = ("saw", "mill", "mill", "lathe", "lathe")


def small_shop(number: int) -> Shop:
    """Return one of the shops; the same number gives the same shop."""
    draw = random.Random(1_000 + number)
    alike = number % 2 == 0
    weeks = [_week("08:00", "16:30"), _week("06:00", "14:00"), _week("14:00", "22:00")]
    stations = tuple(
        Station(
            f"{center} {n}",
            center,
            weeks[0] if alike else draw.choice(weeks),
            set_up_for=draw.choice("ABC"),
            pace=draw.choice((100, 100, 80, 125)),
        )
        for n, center in enumerate(CENTERS)
    )
    lots = tuple(_lot(draw, n, alike=alike) for n in range(6))
    crews = (Crew(weeks[0], setters=1, tenders=draw.choice((1, 2))),) if alike else None
    return Shop(MONDAY, stations, lots, weeks[0], crews)


def _week(starts: str, ends: str) -> WorkCalendar:
    first, last = time.fromisoformat(starts), time.fromisoformat(ends)
    return WorkCalendar(OpenHours("UTC", tuple(Shift(day, first, last) for day in range(5))))


def _lot(draw: random.Random, number: int, *, alike: bool) -> Lot:
    pieces = draw.choice((4, 6, 10))
    steps = tuple(
        Operation(
            str(10 * (place + 1)),
            center,
            SinglePiece(draw.randint(5, 20) * 60_000),
            setup_s=draw.choice((20, 40, 90)) * 60,
            family=draw.choice("ABC"),
            waiting=pieces if place == 0 else 0,
            tend_permille=draw.choice((0, 250, 500)) if alike else 0,
            send_ahead=draw.choice((None, 2)) if alike else None,
            components=("0",) if alike and number == 5 and place == 2 else (),
        )
        for place, center in enumerate(_route(draw))
    )
    released = MONDAY + draw.choice((0, 0, 0, 1)) * DAY
    due = MONDAY + draw.choice((0, 1, 1)) * DAY + 14 * HOUR
    return Lot(str(number), str(number), steps, released=released, due=due, weight=draw.choice((1, 2, 4)))


def _route(draw: random.Random) -> list[str]:
    route = ["saw"]
    while len(route) < 4:
        route.append(draw.choice([center for center in ("saw", "mill", "lathe") if center != route[-1]]))
    return route


def proved_plans() -> dict[int, Plan]:
    """Return a plan of least weighted tardiness for each shop; ``shop_oracle`` proved that none has less."""
    kept = json.loads((FOLDER / "small_shops.json").read_text())["shops"]
    return {int(number): _plan(small_shop(int(number)), proved["runs"]) for number, proved in kept.items()}


def _plan(shop: Shop, runs: list[list[Any]]) -> Plan:
    """Return a plan kept as runs of lot, operation, station, start, end, pieces and seconds of set-up."""
    rows = [PlannedRun(*run) for run in runs]
    ends = {lot.key: max(row.end for row in rows if row.lot == lot.key) for lot in shop.lots}
    return summed_up(shop, [PlannedLot(key, "planned", end) for key, end in ends.items()], rows)
