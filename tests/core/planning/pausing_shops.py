"""Shops drawn from a seed whose stations close for pauses of their own, with few people for all of them."""

import random
from dataclasses import replace
from datetime import time

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.shop import Crew, Shop
from tests.core.planning.every_rule import DAY, HOUR, NOW, draw_shop

PAUSES = (("09:00", "09:30"), ("11:30", "12:30"), ("12:00", "12:45"), ("10:00", "15:00"))


def draw_shop_of_pauses(seed: int, lots: int = 8) -> Shop:
    """Return a shop that depends on nothing but the arguments; its crews come back every week."""
    draw = random.Random(seed)
    drawn = draw_shop(seed, lots=lots)
    weeks = [_week(draw, ("06:00", start), (end, "18:00")) for start, end in PAUSES]
    weeks.append(_week(draw, ("06:00", "22:00")))
    stations = tuple(replace(station, calendar=draw.choice(weeks)) for station in drawn.stations)
    long = _week(draw, ("05:00", "23:00"))
    part = _week(draw, draw.choice([("06:00", "12:15"), ("12:15", "22:00"), ("18:00", "02:00")]))
    crews = (Crew(long, 1, draw.choice([1, 1, 2])), Crew(part, draw.choice([0, 1]), draw.choice([0, 1])))
    return replace(drawn, stations=stations, people=crews)


def _week(draw: random.Random, *shifts: tuple[str, str]) -> WorkCalendar:
    week = tuple(
        Shift(day, time.fromisoformat(start), time.fromisoformat(end)) for day in range(7) for start, end in shifts
    )
    begun = NOW + draw.randint(0, 5 * DAY)
    down = (Downtime(begun, begun + draw.randint(1, 6) * HOUR, guess=True),) if draw.random() < 0.5 else ()
    return WorkCalendar(OpenHours("America/Chicago", week, downtimes=down))
