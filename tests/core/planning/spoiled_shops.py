"""Shops drawn from a seed in which much is wrong or missing: lots that wait for each other, stations that close."""

import random
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from app.core.calendar_hours import Downtime, OpenHours
from app.core.calendars import WorkCalendar
from app.core.shop import (
    Arrival,
    Batch,
    Crew,
    LeadTime,
    Lot,
    NotBefore,
    OpenJob,
    Operation,
    OverClosed,
    Purchase,
    Shop,
    SinglePiece,
    Station,
)
from app.core.worktime import Span
from tests.core.planning.every_rule import (
    DAY,
    HOUR,
    NOW,
    draw_shop,
    draw_shop_of_few_people,
    draw_shop_of_long_setups,
    draw_shop_of_much_under_way,
)

Changes = dict[str, tuple[float, Any]]
"""Fields, each with the chance that it is changed, and to what."""


def draw_spoiled_shop(seed: int) -> Shop:
    """Return a shop with every rule switched on, some of whose operations are changed for the worse."""
    draw = random.Random(seed)
    shop = _drawn(draw, seed)
    lots, stations = [lot.key for lot in shop.lots], [station.key for station in shop.stations]
    return replace(shop, lots=tuple(_spoiled_lot(draw, lot, lots, stations) for lot in shop.lots))


def draw_shop_of_closings(seed: int) -> Shop:
    """Return such a shop whose stations, crews and door close for days or for good, and whose lots come late."""
    draw = random.Random(seed)
    shop = _drawn(draw, seed)
    lots, stations = [lot.key for lot in shop.lots], [station.key for station in shop.stations]
    people = shop.people
    if people is not None and draw.random() < 0.3:
        people = tuple(Crew(_closing(draw, one.calendar), draw.randint(0, 2), draw.randint(0, 2)) for one in people)
    return replace(
        shop,
        stations=tuple(_closing_station(draw, station) for station in shop.stations),
        lots=tuple(_late_lot(draw, _spoiled_lot(draw, lot, lots, stations)) for lot in shop.lots),
        receiving=_closing(draw, shop.receiving),
        people=people,
    )


def _drawn(draw: random.Random, seed: int) -> Shop:
    how = draw.choice([draw_shop, draw_shop_of_long_setups, draw_shop_of_few_people, draw_shop_of_much_under_way])
    return how(seed)


def _changed(draw: random.Random, what: Any, changes: Changes) -> Any:
    """Return something with those of its fields changed that are drawn."""
    return replace(what, **{name: value for name, (chance, value) in changes.items() if draw.random() < chance})


def _closing(draw: random.Random, calendar: WorkCalendar) -> WorkCalendar:
    """Return a calendar, in one of four cases with a closing or with nothing but overtime."""
    hours, begun = calendar.hours, NOW + draw.randint(-2 * DAY, 6 * DAY)
    extra = [Span(day, day + draw.randint(1, 12) * HOUR) for day in (begun, begun + 3 * DAY)]
    down = Downtime(begun, NOW + draw.choice([7, 30, 500, 4_000]) * DAY, guess=draw.random() < 0.5)
    first = datetime.fromtimestamp(NOW, UTC).date()
    closed = frozenset(first + timedelta(days=day) for day in range(draw.randint(0, 4), draw.randint(5, 40)))
    closings = [
        OpenHours(hours.zone),
        OpenHours(hours.zone, overtime=tuple(extra)),
        replace(hours, downtimes=(*hours.downtimes, down)),
        replace(hours, closed_days=closed),
    ]
    return WorkCalendar(draw.choice(closings)) if draw.random() < 0.25 else calendar


def _closing_station(draw: random.Random, station: Station) -> Station:
    changes: Changes = {
        "calendar": (1.0, _closing(draw, station.calendar)),
        "over_closed": (0.2, draw.choice(list(OverClosed))),
        "unattended_s": (0.1, draw.randint(0, 40 * HOUR)),
        "pace": (0.1, draw.choice([1, 50, 300])),
        "pallets": (0.1, draw.choice([1, 2, 3])),
    }
    return _changed(draw, station, changes)


def _late_lot(draw: random.Random, lot: Lot) -> Lot:
    changes: Changes = {
        "hold": (0.05, "asked"),
        "due": (0.05, None),
        "released": (0.1, NOW + draw.randint(-9 * DAY, 20 * DAY)),
        "operations": (1.0, tuple(_late(draw, step) for step in lot.operations)),
    }
    return _changed(draw, lot, changes)


def _late(draw: random.Random, step: Operation) -> Operation:
    expected = (NOW + draw.choice([-DAY, DAY, 5 * DAY, 9_000 * DAY]) for _ in range(draw.randint(0, 3)))
    arrivals = tuple(Arrival(second, draw.randint(1, 30), draw.random() < 0.5) for second in expected)
    changes: Changes = {
        "not_before": (0.05, NotBefore(NOW + draw.choice([-1, 9, 5_000]) * DAY, "bolts")),
        "setup_s": (0.05, draw.choice([0, 3, 9, 20]) * HOUR),
        "send_ahead": (0.1, draw.choice([None, 1, 3, 7])),
        "waited_s": (0.05, draw.randint(0, 9 * HOUR)),
    }
    if isinstance(step.taking, Purchase):
        changes["taking"] = (0.5, Purchase(arrivals))
    if isinstance(step.taking, LeadTime):
        changes["taking"] = (0.2, LeadTime(draw.choice([0, 30, 4_000]), draw.random() < 0.5))
    return _changed(draw, step, changes)


def _spoiled_lot(draw: random.Random, lot: Lot, lots: Sequence[str], stations: Sequence[str]) -> Lot:
    return replace(lot, operations=tuple(_spoiled(draw, step, lots, stations) for step in lot.operations))


def _spoiled(draw: random.Random, step: Operation, lots: Sequence[str], stations: Sequence[str]) -> Operation:
    changes: Changes = {
        "components": (0.15, tuple(draw.sample(lots, draw.randint(1, 2)))),
        "held": (0.05, draw.randint(1, 5)),
        "counted": (0.05, draw.randint(1, 5)),
        "stations": (0.1, tuple(draw.sample(stations, draw.randint(1, 3)))),
        "work_center": (0.03, "nowhere"),
        "split": (0.1, draw.randint(2, 5)),
        "tend_permille": (0.05, draw.choice([1500, 3000])),
        "not_before": (0.05, NotBefore(None, "bolts")),
        "waiting": (0.05, step.waiting + draw.randint(1, 60)),
        **_changes_of_taking(draw, step, stations),
    }
    return _changed(draw, step, changes)


def _changes_of_taking(draw: random.Random, step: Operation, stations: Sequence[str]) -> Changes:
    match step.taking:
        case SinglePiece():
            return {"taking": (0.03, SinglePiece(0))}
        case Batch() as batch:
            bounds = {"max_weight_g": draw.choice([100, 500]), "max_pieces": draw.choice([1, 3, None])}
            return {"taking": (0.1, replace(batch, **bounds))}
        case LeadTime():
            job = OpenJob(draw.choice(stations), draw.randint(1, 5), NOW - draw.randint(0, 9 * DAY))
            return {"open_jobs": (0.5, (job,))}
        case _:
            return {}
