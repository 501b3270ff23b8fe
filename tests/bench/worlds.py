"""Worlds that are not as the simulation believes: what really happens, and what their ledger shows at a moment.

What differs from the model: times have heavy tails; standards are wrong, part by part; in bad weeks the last hours of
every day are lost, and people stay away for days, of which the calendars know nothing; rush orders come; stations
break down; vendors are late; some sign-offs are recorded hours or days after the work.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.chances.simulation import live_through, prepare
from app.core.chances.spreads import FIXED
from app.core.chances.uncertainty import Odds, Uncertainty
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.result_file import PlannedRun
from app.core.shop import LeadTime, Lot, OpenJob, Operation, Shop, SinglePiece, Station

START = int(datetime(2026, 1, 5, tzinfo=UTC).timestamp())  # a Monday
HOUR, DAY, WEEK = 3_600, 86_400, 7 * 86_400
WEEKS, LOTS_A_WEEK = 30, 8
CENTERS = {"saw": 1, "lathe": 2, "mill": 3, "grind": 1, "bench": 1}
VENDOR_DAYS = 5
SHIFTS = tuple(Shift(day, time(6), time(15)) for day in range(5))
SCRAP = 0.02


@dataclass(frozen=True)
class Step:
    """An operation of a part as its routing says, and how much longer it really takes; no center is a vendor."""

    center: str
    setup_s: int
    cycle_ms: int
    truth: float


@dataclass
class World:
    """What really happened.

    Attributes:
        lots: as they were released, with planned times.
        parts: the part of each lot.
        runs: what was done, by lot and operation; one run each.
        signed: when each run's sign-off was recorded.
        finish: when each lot was finished.
        downtimes: of each station.
    """

    lots: list[Lot]
    parts: dict[str, int]
    runs: dict[tuple[str, int], PlannedRun]
    signed: dict[tuple[str, int], int]
    finish: dict[str, int]
    downtimes: dict[str, list[Downtime]]

    def stations(self, now: int) -> tuple[Station, ...]:
        """Return the stations as the books know them: downtimes that have begun, with a guess for those still down."""
        return tuple(
            Station(key, center, WorkCalendar(OpenHours("UTC", SHIFTS, downtimes=_known(self.downtimes[key], now))))
            for center, key in _stations()
        )


def _known(downtimes: Iterable[Downtime], now: int) -> tuple[Downtime, ...]:
    begun = (each for each in downtimes if each.start <= now)
    return tuple(each if each.end <= now else Downtime(each.start, now + 4 * HOUR, guess=True) for each in begun)


def _stations() -> list[tuple[str, str]]:
    return [(center, f"{center} {n}") for center, count in CENTERS.items() for n in range(count)]


def make_world(seed: int) -> World:
    """Return a world that depends on nothing but its seed."""
    draw = random.Random(seed)
    parts = [_part(draw) for _ in range(24)]
    lots, part_of = _orders(draw, parts)
    downtimes = {key: _breakdowns(draw) for _, key in _stations()}
    lost = _lost_hours(draw)
    stations = tuple(
        Station(
            key, center, WorkCalendar(OpenHours("UTC", SHIFTS, downtimes=(*downtimes[key], *lost, *_absences(draw))))
        )
        for center, key in _stations()
    )
    happened = [_as_it_happens(draw, lot, parts[part_of[lot.key]]) for lot in lots]
    truth = Shop(START, stations, tuple(happened), WorkCalendar(OpenHours("UTC", SHIFTS)))
    ready = prepare(truth, Uncertainty(usual=Odds(FIXED, FIXED, SCRAP)))
    plan = plan_of_arrays(live_through(ready, seed=seed, replication=0))
    runs = {(run.lot, run.index): run for run in plan.operations}
    signed = {key: run.end + _forgotten(draw, run) for key, run in runs.items()}
    finish = {one.lot: one.finish for one in plan.lots if one.finish is not None}
    return World(lots, part_of, runs, signed, finish, downtimes)


def _part(draw: random.Random) -> list[Step]:
    steps = [
        Step(center, draw.randrange(10, 90) * 60, draw.randrange(90, 700) * 1000, draw.lognormvariate(0, 0.25))
        for center in draw.sample(list(CENTERS), k=draw.randint(3, 5))
    ]
    if draw.random() < 0.3:
        steps.insert(draw.randint(1, len(steps)), Step("", 0, 0, 1))
    return steps


def _orders(draw: random.Random, parts: list[list[Step]]) -> tuple[list[Lot], dict[str, int]]:
    lots, part_of = [], {}
    for number in range(WEEKS * LOTS_A_WEEK):
        day = draw.randrange(WEEKS * 5)
        released = START + day // 5 * WEEK + day % 5 * DAY + 6 * HOUR
        part, pieces, rush = draw.randrange(len(parts)), draw.randint(8, 50), draw.random() < 0.06
        work_s = sum(step.setup_s + pieces * step.cycle_ms // 1000 for step in parts[part])
        days = work_s / (9 * HOUR) + sum(VENDOR_DAYS for step in parts[part] if not step.center)
        allowed = max(3, round(days * (draw.uniform(1.2, 2.0) if rush else draw.uniform(1.5, 4.5)) * 7 / 5))
        due = released // DAY * DAY + allowed * DAY + 15 * HOUR
        key = f"{number:04}"
        part_of[key] = part
        steps = tuple(_operation(step, place) for place, step in enumerate(parts[part]))
        steps = (replace(steps[0], waiting=pieces), *steps[1:])
        lots.append(Lot(key, key, steps, released=released, due=due, rush=rush))
    return sorted(lots, key=lambda lot: lot.released), part_of


def _operation(step: Step, place: int) -> Operation:
    taking = SinglePiece(step.cycle_ms) if step.center else LeadTime(VENDOR_DAYS)
    return Operation(str(place), step.center, taking, setup_s=step.setup_s)


def _as_it_happens(draw: random.Random, lot: Lot, part: list[Step]) -> Lot:
    steps = []
    for step, operation in zip(part, lot.operations, strict=True):
        if not step.center:
            late = draw.choices((0, 1, 3, draw.randint(5, 14)), weights=(6, 2, 1, 1))[0]
            steps.append(replace(operation, taking=LeadTime(VENDOR_DAYS + late)))
            continue
        tail = draw.uniform(2, 5) if draw.random() < 0.06 else 1
        cycle_ms = round(step.cycle_ms * step.truth * draw.lognormvariate(0, 0.2) * tail)
        setup_s = round(step.setup_s * draw.lognormvariate(0, 0.5))
        steps.append(replace(operation, taking=SinglePiece(cycle_ms), setup_s=setup_s))
    return replace(lot, operations=tuple(steps))


def _breakdowns(draw: random.Random) -> list[Downtime]:
    second, found = START, []
    while second < START + (WEEKS + 20) * WEEK:
        second += round(draw.expovariate(1 / (5 * WEEK)))
        end = second + round(draw.lognormvariate(2, 0.8) * HOUR)
        found.append(Downtime(second, end))
        second = end
    return found


def _lost_hours(draw: random.Random) -> list[Downtime]:
    """Return what every station loses in bad weeks, one of four."""
    bad = [week for week in range(WEEKS + 20) if draw.random() < 0.25]
    starts = [START + week * WEEK + day * DAY for week in bad for day in range(5)]
    return [Downtime(start + 13 * HOUR, start + 15 * HOUR) for start in starts]


def _absences(draw: random.Random) -> list[Downtime]:
    """Return days on which nobody is at a station."""
    starts = [START + draw.randrange(7 * (WEEKS + 20)) * DAY for _ in range(WEEKS // 6)]
    return [Downtime(start, start + draw.choice((1, 1, 2)) * DAY) for start in starts]


def _forgotten(draw: random.Random, run: PlannedRun) -> int:
    """Return how much later than the work a sign-off was recorded."""
    return draw.randint(2 * HOUR, 3 * DAY) if run.station is not None and draw.random() < 0.04 else 0


def as_the_books_show(world: World, now: int) -> Shop:
    """Return the shop as its ledger shows it at a moment."""
    lots = [_as_recorded(world, lot, now) for lot in world.lots if lot.released <= now]
    receiving = WorkCalendar(OpenHours("UTC", SHIFTS))
    return Shop(now, world.stations(now), tuple(lot for lot in lots if lot is not None), receiving)


def _as_recorded(world: World, lot: Lot, now: int) -> Lot | None:
    """Return a lot from its first operation that is not signed off; None when all are."""
    for index, operation in enumerate(lot.operations):
        run = world.runs[lot.key, index]
        if world.signed[lot.key, index] > now:
            first = replace(operation, waiting=run.pieces)
            if run.start < now:
                job = OpenJob(run.station or "", run.pieces, run.start, in_setup=run.setup_s > 0)
                first = replace(operation, waiting=0, open_jobs=(job,))
            return replace(lot, operations=(first, *lot.operations[index + 1 :]))
    return None
