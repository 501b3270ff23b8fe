"""An independent simulator, SimPy, lives through the same shop with the same draws and agrees to the second."""

import random
from collections.abc import Generator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
import simpy

from app.core.chances.simulation import live_through, prepare
from app.core.chances.spreads import lognormal
from app.core.chances.uncertainty import Odds, Uncertainty
from app.core.planning import arrays as a
from app.core.planning.decoding import Decoded
from app.core.planning.outcome import plan_of_arrays
from app.core.shop import Shop
from tests.core.shops import MONDAY, calendar, lot, operation, round_the_clock, shop, single, station

CENTERS = {"saw": 1, "lathe": 2, "mill": 2, "bench": 1}
OPENING, CLOSING, DAY = 8 * 3600, 16 * 3600, 86_400
ALWAYS_OPEN = "saw"


def job_shop(seed: int) -> Shop:
    """Return a shop of six stations and thirty lots, with families of set-up, ranks, releases and a daily closing."""
    draw = random.Random(seed)
    day = calendar(("08:00", "16:00"), days=range(7))
    stations = [
        station(f"{center} {n}", center, calendar=round_the_clock() if center == ALWAYS_OPEN else day)
        for center, count in CENTERS.items()
        for n in range(count)
    ]
    lots = []
    for number in range(30):
        steps = [
            operation(
                str(step),
                single(draw.randint(1, 40)),
                draw.choice(list(CENTERS)),
                setup=draw.randint(5, 90),
                family=draw.choice(["A", "B", "C"]),
                rank=draw.randrange(10_000),
                waiting=0 if step else draw.randint(1, 20),
            )
            for step in range(4)
        ]
        lots.append(lot(f"{number:03}", *steps, released=MONDAY + draw.choice([0, draw.randrange(20 * DAY)])))
    return shop(stations, *lots)


class OtherShop:
    """The same shop as SimPy processes: an own queue, an own clock of opening hours, an own dispatcher."""

    def __init__(self, given: Shop, lived: Decoded) -> None:
        self.env = simpy.Environment()
        self.now = given.now
        self.times = _drawn(lived)
        self.free = [each.key for each in given.stations]
        self.set_up_for: dict[str, str] = {}
        self.queue: list[tuple[int, str, int, int]] = []  # rank, lot, operation, pieces
        self.finish: dict[str, int] = {}
        self.lots = {each.key: each for each in given.lots}
        self.centers = {each.key: each.work_center for each in given.stations}
        for each in given.lots:
            self.env.process(self.arrive(each.key, 0, max(0, each.released - self.now), each.operations[0].waiting))
        self.env.process(self.open_each_day())

    def arrive(self, key: str, index: int, delay: int, pieces: int) -> Generator[Any]:
        """Bring pieces to an operation."""
        yield self.env.timeout(delay)
        rank = self.lots[key].operations[index].rank
        assert rank is not None
        self.queue.append((rank, key, index, pieces))
        self.look_later()

    def open_each_day(self) -> Generator[Any]:
        """Have all stations look for work at each opening."""
        yield self.env.timeout(OPENING)
        while len(self.finish) < len(self.lots):
            self.look_later()
            yield self.env.timeout(DAY)

    def look_later(self) -> None:
        """Dispatch when all else of this second has happened."""
        event = self.env.event()
        event._ok, event._value = True, None
        event.callbacks.append(lambda _: self.dispatch())
        self.env.schedule(event, priority=9)

    def dispatch(self) -> None:
        """Give the free stations that are open their work, the lowest rank first."""
        for job in sorted(self.queue):
            _, key, index, _ = job
            center = self.lots[key].operations[index].work_center
            able = [each for each in self.free if self.centers[each] == center and self.is_open(each)]
            if able:
                best = min(able, key=lambda each: (self.end(each, job), list(self.centers).index(each)))
                self.queue.remove(job)
                self.free.remove(best)
                self.env.process(self.work(best, job))

    def work(self, where: str, job: tuple[int, str, int, int]) -> Generator[Any]:
        """Set up, work, move on."""
        _, key, index, pieces = job
        end = self.end(where, job)
        self.set_up_for[where] = self.lots[key].operations[index].family
        yield self.env.timeout(end - self.env.now)
        self.free.append(where)
        left = pieces - self.times[key, index][2]
        if index + 1 < len(self.lots[key].operations):
            self.env.process(self.arrive(key, index + 1, 0, left))
        else:
            self.finish[key] = end + self.now
        self.look_later()

    def end(self, where: str, job: tuple[int, str, int, int]) -> int:
        """Return when a station would end a job that it begins now."""
        _, key, index, pieces = job
        setup, cycle_ms, _ = self.times[key, index]
        if self.set_up_for.get(where) == self.lots[key].operations[index].family:
            setup = 0
        left, second = setup + (pieces * cycle_ms + 999) // 1000, int(self.env.now)
        if self.centers[where] == ALWAYS_OPEN:
            return second + left
        while True:
            today = second // DAY * DAY
            second = max(second, today + OPENING)
            if second + left <= today + CLOSING:
                return second + left
            left -= max(0, today + CLOSING - second)
            second = today + DAY

    def is_open(self, where: str) -> bool:
        """Tell whether a station is open."""
        return self.centers[where] == ALWAYS_OPEN or OPENING <= self.env.now % DAY < CLOSING


def _drawn(lived: Decoded) -> dict[tuple[str, int], tuple[int, int, int]]:
    """Return set-up, cycle and lost pieces that were drawn for each operation."""
    fixed, packing = lived.arrays.fixed, lived.packing
    found = {}
    for op, (place, index) in enumerate(packing.operations):
        row = fixed[a.F_OPS] + op * a.OP_COLUMNS
        found[packing.lots[place].key, index] = (fixed[row + a.O_SETUP], fixed[row + a.O_CYCLE], fixed[row + a.O_LOST])
    return found


@pytest.mark.parametrize("seed", range(10))
def test_simpy_finishes_every_lot_in_the_same_second(seed: int) -> None:
    given = job_shop(seed)
    assert datetime.fromtimestamp(given.now, UTC).hour == 0
    ready = prepare(given, Uncertainty(usual=Odds(lognormal(0.5), lognormal(0.4), scrap=0.1)))
    for replication in range(3):
        lived = live_through(ready, seed=seed, replication=replication)
        other = OtherShop(given, lived)
        other.env.run()
        assert other.finish == {one.lot: one.finish for one in plan_of_arrays(lived).lots}


def test_other_ranks_would_be_noticed() -> None:
    given = job_shop(1)
    ready = prepare(given, Uncertainty())
    lived = live_through(ready, seed=1, replication=0)
    turned = replace(
        given,
        lots=tuple(
            replace(one, operations=tuple(replace(step, rank=-(step.rank or 0)) for step in one.operations))
            for one in given.lots
        ),
    )
    other = OtherShop(turned, lived)
    other.env.run()
    assert other.finish != {one.lot: one.finish for one in plan_of_arrays(lived).lots}
