"""How often what was said to be 30 % likely came: chances and dates of lots in worlds that differ from the model.

In each world, one prediction for a lot at its release and one at half its lead time, made from nothing but what its
books showed then. Printed beside the plain forecast (late or not, from planned times) and the share of lots late so
far. Seeds below 200 are for development (101 and 102 had a part in it); those that report chose nothing. Run as
``python -m tests.bench.bench_calibration [--worlds N] [--first SEED] [--replications N] [--keep]``.
"""

import argparse
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import gettempdir

from app.core.chances.compiled import replayer
from app.core.chances.scores import Forecast, coverage, score
from app.core.chances.simulation import PLAIN_REPLAYER, LotChances, prepare, simulate
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.schedule.queries import Calibration, Judged
from tests.bench.calibration_tables import keep, tables
from tests.bench.forecaster import uncertainty_of
from tests.bench.worlds import DAY, HOUR, START, WEEK, WEEKS, World, as_the_books_show, make_world

WARM_UP_WEEKS = 10
SHARES_OF_DATES = (0.5, 0.8, 0.95)
WHENS = ("at release", "at half the lead time")


@dataclass(frozen=True)
class Prediction:
    """What was said of a lot, and what became of it."""

    when: str
    chances: LotChances
    plain_late: bool
    base_rate: float
    due: int
    finish: int

    @property
    def late(self) -> bool:
        """Whether it was late."""
        return self.finish > self.due


def moments(world: World) -> dict[int, list[tuple[str, str]]]:
    """Return the mornings of predictions, with the lots and the kind of each."""
    found: dict[int, list[tuple[str, str]]] = {}
    for lot in world.lots:
        if START + WARM_UP_WEEKS * WEEK <= lot.released < START + (WEEKS - 2) * WEEK and lot.due is not None:
            found.setdefault(lot.released, []).append((lot.key, WHENS[0]))
            half = (lot.released + (lot.due - lot.released) // 2) // DAY * DAY + 6 * HOUR
            found.setdefault(half, []).append((lot.key, WHENS[1]))
    return found


def predictions(seed: int, replications: int) -> Iterable[Prediction]:
    """Return all predictions in a world."""
    world = make_world(seed)
    quick = replayer(Path(gettempdir()) / "lotwright-bench") or PLAIN_REPLAYER
    lots = {lot.key: lot for lot in world.lots}
    for now, wanted in sorted(moments(world).items()):
        shop = as_the_books_show(world, now)
        found = simulate(prepare(shop, uncertainty_of(world, shop), quick), seed=seed, replications=replications)
        chances = {one.lot: one for one in found.lots}
        plain = {one.lot: one.finish for one in plan_of_arrays(decode(shop, quick.engine)).lots}
        ended = [key for key, finish in world.finish.items() if finish <= now]
        rate = sum(world.finish[key] > (lots[key].due or 0) for key in ended) / len(ended)
        for key, when in wanted:
            due, planned = lots[key].due, plain.get(key)
            if key in chances and due is not None and world.finish[key] > now:
                yield Prediction(when, chances[key], planned is None or planned > due, rate, due, world.finish[key])


def judge(when: str, made: Sequence[Prediction]) -> Judged:
    """Return how good the predictions of one kind were."""
    return Judged(
        when=when,
        chances=score([Forecast(one.chances.chance_late or 0.0, one.late) for one in made]),
        plain=score([Forecast(float(one.plain_late), one.late) for one in made]),
        so_far=score([Forecast(one.base_rate, one.late) for one in made]),
        dates=tuple(
            coverage(wanted, [(one.chances.finish(wanted), one.finish) for one in made]) for wanted in SHARES_OF_DATES
        ),
    )


def main() -> None:
    """Run the bench."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--worlds", type=int, default=3)
    asked.add_argument("--first", type=int, default=201)
    asked.add_argument("--replications", type=int, default=200)
    asked.add_argument("--keep", action="store_true", help="write the figures where pages and papers read them")
    given = asked.parse_args()
    began = time.process_time()
    seeds = range(given.first, given.first + given.worlds)
    made = [one for seed in seeds for one in predictions(seed, given.replications)]
    judged = tuple(judge(when, [one for one in made if one.when == when]) for when in WHENS)
    found = Calibration(given.worlds, given.first, given.replications, judged)
    print(tables(found))
    print(f"{given.worlds} worlds, {time.process_time() - began:.0f} s of processor time")
    if given.keep:
        keep(found)


if __name__ == "__main__":
    main()
