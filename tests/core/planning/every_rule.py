"""Shops drawn from a seed with every rule of the model switched on, for tests and benches."""

import random
from dataclasses import replace
from datetime import UTC, datetime, time

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.shop import (
    Arrival,
    BarFed,
    Batch,
    Crew,
    LeadTime,
    Lot,
    NotBefore,
    OpenJob,
    Operation,
    OverClosed,
    PalletLoad,
    Purchase,
    Shop,
    SinglePiece,
    Station,
    Taking,
)
from app.core.worktime import Span

NOW = int(datetime(2026, 3, 5, 15, tzinfo=UTC).timestamp())  # clocks change on the Sunday after it
DAY, HOUR = 86_400, 3_600
CENTERS = ("saw", "lathe", "mill", "oven", "bench")


def draw_shop(seed: int, lots: int = 8, operations: int = 5, stations: int = 8, people: bool = True) -> Shop:
    """Return a shop that depends on nothing but the arguments."""
    draw = random.Random(seed)
    weeks = [_week(draw, *shifts) for shifts in ((("06:00", "14:00"),), (("06:00", "14:00"), ("14:00", "22:30")))]
    weeks.append(_week(draw, ("22:00", "06:30")))
    benches = tuple(_station(draw, number, weeks) for number in range(max(stations, len(CENTERS))))
    crews = tuple(Crew(week, draw.randint(1, 3), draw.randint(1, 3)) for week in weeks)
    orders = tuple(_lot(draw, number, operations, benches) for number in range(lots))
    return Shop(NOW, benches, orders, weeks[0], crews if people and draw.random() < 0.8 else None)


def draw_shop_of_long_setups(seed: int) -> Shop:
    """Return a shop whose work must fit everywhere, and much of it only where the station is set up for it."""
    drawn = draw_shop(seed)
    stations = tuple(replace(station, over_closed=OverClosed.FIT) for station in drawn.stations)
    people = drawn.people
    if people is not None and seed % 3 == 0:  # nobody sets up at all
        people = tuple(replace(crew, setters=0) for crew in people)
    return replace(drawn, stations=stations, lots=tuple(map(_with_long_setups, drawn.lots)), people=people)


def draw_shop_of_few_people(seed: int) -> Shop:
    """Return a shop in whose shifts nobody may set up or tend, so that much waits for another shift or for overtime."""
    draw = random.Random(seed)
    drawn = draw_shop_of_long_setups(seed) if seed % 2 else draw_shop(seed)
    weeks = [station.calendar for station in drawn.stations[:3]]
    crews = [Crew(week, draw.choice([0, 0, 1]), draw.choice([0, 1, 1])) for week in weeks]
    for _ in range(draw.randint(0, 2)):  # overtime, past or to come
        begun = NOW + draw.randint(-3 * DAY, 15 * DAY)
        alone = OpenHours("America/Chicago", overtime=(Span(begun, begun + draw.randint(2, 9) * HOUR),))
        crews.append(Crew(WorkCalendar(alone), 1, 1))
    return replace(drawn, people=tuple(crews))


def draw_shop_of_much_under_way(seed: int) -> Shop:
    """Return a shop with several loads under way at a station, one or two of a lot, of which pieces are counted."""
    draw = random.Random(seed)
    drawn = draw_shop(seed, lots=9, operations=3)
    busy = draw.sample(drawn.stations, 3)
    lots = (
        replace(lot, operations=tuple(_with_jobs_at(draw, step, busy) for step in lot.operations)) for lot in drawn.lots
    )
    return replace(drawn, lots=tuple(lots))


def _with_jobs_at(draw: random.Random, step: Operation, busy: list[Station]) -> Operation:
    """Return an operation with open jobs at those busy stations that can do it, often begun at once with others."""
    jobs = (
        OpenJob(
            station.key,
            draw.randint(1, 9),
            NOW - draw.choice([3 * HOUR, 5 * HOUR, draw.randint(0, 30 * HOUR)]),
            draw.random() < 0.3,
            draw.choice([None, None, None, draw.randint(0, 5 * HOUR)]),
            f"load at {station.key}" if isinstance(step.taking, Batch) and draw.random() < 0.5 else None,
            draw.choice([None, 0, 300]),
            draw.choice([0, 1, 8]),
        )
        for station in busy
        if station.work_center == step.work_center and draw.random() < 0.7
    )
    return _with(step, open_jobs=tuple(jobs), send_ahead=draw.choice([None, 1, 2]), split=1, waiting=0)


def _with_long_setups(lot: Lot) -> Lot:
    return replace(lot, operations=tuple(_with(step, setup_s=5 * step.setup_s) for step in lot.operations))


def _week(draw: random.Random, *shifts: tuple[str, str]) -> WorkCalendar:
    days = draw.choice([range(5), range(6), range(7)])
    week = tuple(
        Shift(day, time.fromisoformat(start), time.fromisoformat(end)) for day in days for start, end in shifts
    )
    begun = NOW + draw.randint(0, 5 * DAY)
    down = (Downtime(begun, begun + draw.randint(1, 12) * HOUR, guess=True),) if draw.random() < 0.5 else ()
    return WorkCalendar(OpenHours("America/Chicago", week, downtimes=down))


def _station(draw: random.Random, number: int, weeks: list[WorkCalendar]) -> Station:
    over = draw.choice([OverClosed.PAUSE, OverClosed.PAUSE, OverClosed.FIT, OverClosed.UNATTENDED])
    return Station(
        f"S{number}",
        CENTERS[number % len(CENTERS)],
        draw.choice(weeks),
        pallets=draw.choice([1, 2, 2]),
        pallet_change_ms=draw.choice([0, 20_500, 60_000]),
        set_up_for=draw.choice([None, "P1", "P2"]),
        set_up_fixture=draw.choice([None, "vise"]),
        over_closed=over,
        unattended_s=draw.choice([0, 2 * HOUR, 10 * HOUR]),
        pace=draw.choice([100, 100, 80, 130]),
    )


def _taking(draw: random.Random, center: str) -> Taking:
    cycle_ms = draw.randint(20, 900) * 1_003
    if center == "oven":
        bounds = {"max_pieces": draw.choice([None, 20, 40]), "max_weight_g": draw.choice([None, 30_000])}
        return Batch(
            draw.choice(["hard", "soft"]), 7_200_000, piece_weight_g=draw.randint(1, 900), wait_s=3 * HOUR, **bounds
        )
    takings: list[Taking] = [
        SinglePiece(cycle_ms),
        PalletLoad(draw.randint(1, 4), cycle_ms, draw.randint(0, 300_000), draw.randint(0, 200_000)),
        BarFed(draw.randint(1, 9), cycle_ms, draw.randint(0, 90_000)),
    ]
    return draw.choice(takings)


def _operation(draw: random.Random, key: str, center: str, lot: int) -> Operation:
    part = draw.choice(["", "P1", "P2", "P3"])
    return Operation(
        key,
        center,
        _taking(draw, center),
        setup_s=draw.choice([0, 1_200, 3_600]),
        family=part,
        send_ahead=draw.choice([None, None, 1, 5]),
        not_before=NotBefore(NOW + draw.randint(0, 3 * DAY), "bolts") if draw.random() < 0.1 else None,
        fixture=draw.choice(["", "vise", "plate"]),
        fixture_setup_s=draw.choice([None, 300]),
        tend_permille=draw.choice([0, 250, 1000]),
        split=draw.choice([1, 1, 1, 2]),
        components=(f"L{draw.randrange(lot)}",) if lot and draw.random() < 0.1 else (),
        rank=draw.randint(0, 1000) if lot % 2 else None,
    )


def _lot(draw: random.Random, number: int, operations: int, stations: tuple[Station, ...]) -> Lot:
    steps = [_operation(draw, str(10 * n), draw.choice(CENTERS), number) for n in range(1, operations + 1)]
    pieces = draw.randint(1, 30)
    if draw.random() < 0.3:
        arrivals = tuple(Arrival(NOW + draw.randint(-DAY, 4 * DAY), -(-pieces // 2)) for _ in range(2))
        steps.insert(0, Operation("5", "", Purchase(arrivals)))
    if draw.random() < 0.3:
        steps.insert(draw.randint(1, len(steps)), Operation("7", "", LeadTime(draw.randint(1, 5), draw.random() < 0.5)))
    steps[0] = _with(steps[0], waiting=pieces, waited_s=pieces * 600)
    if draw.random() < 0.4:
        place = draw.randrange(len(steps))
        if not isinstance(steps[place].taking, LeadTime | Purchase):
            steps[place] = _begun(draw, steps[place], stations)
    return Lot(
        f"L{number}",
        f"{number:06}",
        tuple(steps),
        released=NOW + draw.choice([0, 0, 0, draw.randint(0, 2 * DAY)]),
        due=NOW + draw.randint(1, 20) * DAY,
        pinned=draw.choice([None] * 9 + [1]),
        rush=draw.random() < 0.1,
        hold=None if draw.random() < 0.95 else "customer asked",
        weight=draw.choice([1, 2, 4]),
    )


def _begun(draw: random.Random, step: Operation, stations: tuple[Station, ...]) -> Operation:
    there = [station for station in stations if station.work_center == step.work_center]
    job = OpenJob(draw.choice(there).key, draw.randint(1, 9), NOW - draw.randint(0, 6 * HOUR), draw.random() < 0.5)
    return _with(step, open_jobs=(job,), counted=draw.randint(0, 3), waiting=step.waiting + draw.randint(0, 4))


def _with(step: Operation, **changes: object) -> Operation:
    values = {name: getattr(step, name) for name in step.__dataclass_fields__}
    return Operation(**(values | changes))  # type: ignore[arg-type]  # fields by name
