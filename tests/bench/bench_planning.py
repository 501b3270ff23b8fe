"""The decoder and the search: frozen cases, published instances, small shops, speed.

Run as ``python -m tests.bench.bench_planning [decoder] [cases SECONDS] [makespan SECONDS] [further SECONDS] [tardiness
SECONDS] [small MOVES] [solver] [only NAME,NAME]``; each line printed is one JSON object. ``further`` are ta01 to ta20,
swv and yn; ``only`` keeps to some of the published instances. Times are of the processor, for each of two searches side
by side. With ``solver`` a constraint solver (OR-Tools CP-SAT, the extra ``bench``) with two workers has the same on the
clock at each published instance, in the same run; at the frozen cases it always has.
"""

import json
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from itertools import chain
from pathlib import Path
from types import ModuleType

from app.core.case_file import shop_of_case
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.compiled import engine
from app.core.planning.decoding import PLAIN, Decoded, Engine, decode, decode_packed
from app.core.planning.listing import as_line
from app.core.planning.outcome import run_rows
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan
from app.core.planning.search import Effort, best_by_rules, improve
from app.core.shop import Shop
from tests.bench.bare_loop import BareCalendar, bare_loop
from tests.bench.cases.shop_cases import make_case
from tests.bench.measuring import best_of, report
from tests.bench.small_shops import proved_plans, small_shop
from tests.core.planning.every_rule import draw_shop
from tests.published.job_shops import (
    best_known,
    published_tardiness,
    tardiness_shop,
    texts,
)

DAY = 86_400
ALL = (
    *("ft06", "ft10", "ft20", *(f"la{n:02}" for n in range(1, 41))),
    *(*(f"abz{n}" for n in range(5, 10)), *(f"orb{n:02}" for n in range(1, 11))),
)
FURTHER = {
    "ta01 to ta20": tuple(f"ta{n:02}" for n in range(1, 21)),
    "swv": tuple(f"swv{n:02}" for n in range(1, 21)),
    "yn": tuple(f"yn{n}" for n in range(1, 5)),
}
GROUPS = {
    "all 58": ALL,
    "the nine hard ones": ("abz7", "abz8", "abz9", "la21", "la24", "la27", "la29", "la38", "la40"),
    **FURTHER,
}
SEARCHES = 2
PLANS = 7
"""So many are made of a shop; the quickest counts."""
FAR_TOO_LATE = 1_000_000
"""Where the solver finds no plan at all."""
DEFAULT = ["decoder", "cases", "5", "makespan", "10", "tardiness", "10", "small", "20000", "solver"]


def searched(shop: Shop, compiled: Engine, seconds: float, *, makespan: bool = False, by_ranks: bool = False) -> Plan:
    """Return what two searches find in some seconds of the processor each, proved."""
    effort = Effort(seconds=seconds, searches=SEARCHES, clock=time.thread_time)
    found = improve(shop, effort, compiled, makespan=makespan, by_ranks=by_ranks).plan
    assert check(shop, found) == ()
    return found


def bench_decoder(compiled: Engine) -> None:
    """Every rule on: compiled by size, plain for 300 lots; beside each the bare event loop, right after it."""
    loop = bare_loop_of(decode(draw_shop(1, lots=300, operations=7, stations=15), compiled))
    for lots in (300, 1_000, 3_000, 10_000):
        shop = draw_shop(1, lots=lots, operations=7, stations=15)
        decoded = decode(shop, compiled)
        operations = len(decoded.packing.operations)
        taken = best_of(PLANS, lambda arrays=decoded.arrays: compiled.play(*arrays))
        beside_loop("decoder", lots, operations, taken, loop)
        if lots == 300:
            packing, order = decoded.packing, planned_order(decoded.packing)
            taken = best_of(PLANS, lambda packing=packing, order=order: decode_packed(packing, order, PLAIN))
            beside_loop("decoder, plain", lots, operations, taken, loop)
            taken = best_of(PLANS, lambda shop=shop: decode(shop, PLAIN))
            beside_loop("decoder, plain, with packing", lots, operations, taken, loop)


def beside_loop(bench: str, lots: int, operations: int, seconds: float, loop: Callable[[], float]) -> None:
    """Print what a plan takes, and what the bare event loop takes for as many operations right after it."""
    bare = loop()
    report(
        bench,
        lots=lots,
        operations=operations,
        milliseconds=seconds * 1e3,
        microseconds_per_operation=seconds / operations * 1e6,
        bare_loop_operations_per_second=1 / bare,
        ratio_to_bare_loop=seconds / operations / bare,
    )


def bare_loop_of(decoded: Decoded) -> Callable[[], float]:
    """Return what measures the bare event loop on the work that a plan has at stations, in seconds an operation."""
    packing = decoded.packing
    jobs: list[list[tuple[int, int]]] = [[] for _ in packing.lots]
    for run in run_rows(decoded):
        if run[a.R_STATION] >= 0:
            lot, _ = packing.operations[run[a.R_OP]]
            jobs[lot].append((run[a.R_STATION], run[a.R_SETUP] + run[a.R_WORK]))
    hours = packing.tables.hours
    spans = [hours.calendars[station[a.S_RUNNING]] for station in packing.tables.stations]
    calendars = [
        BareCalendar((opens, closes) for opens, closes, _ in hours.spans[first:end]) for first, end, _ in spans
    ]
    return lambda: best_of(PLANS, lambda: bare_loop(jobs, calendars, 0)) / sum(map(len, jobs))


def noisy_rules(shop: Shop, compiled: Engine, seconds: float) -> float:
    """Return the weighted days late of the best of many lists near that of the best rule, two times so many seconds."""
    line = as_line(decode(shop, compiled).packing, makespan=False)
    assert line is not None
    fixed, draw = compiled.array(line.fixed), random.Random(1)
    course = best_by_rules(line, compiled, fixed)
    places = [line.fixed[a.F_PLACES] + at * la.PLACE_COLUMNS + la.D_LOT for at in range(line.fixed[a.F_STEPS_COUNT])]
    lots = [int(course[place]) for place in places]
    best, begun = int(course[la.M_COST]), time.thread_time()
    while time.thread_time() - begun < SEARCHES * seconds:
        noise = draw.choice((1, 2, 5, 10, 20, 40))
        noisy = sorted((at + noise * draw.random(), lot) for at, lot in enumerate(lots))
        for place, (_, lot) in zip(places, noisy, strict=True):
            course[place] = lot
        best = min(best, int(compiled.decode_list(fixed, course)))
    return best / DAY


@cache
def rival() -> ModuleType:
    """Return what asks the constraint solver, an extra that is large and that most benches do without."""
    return import_module("tests.bench.rival")


def bench_cases(compiled: Engine, seconds: float) -> None:
    """Weighted days late of the frozen cases: of lists, and of ranks, by which a station never waits for what comes.

    Beside them the best rule, restarts of noisy rules, and the constraint solver, told the best rule's plan.
    """
    for kind in ("moderate", "heavy"):
        sums = dict.fromkeys(("best_rule", "noisy_rules", "solver", "found", "by_ranks"), 0.0)
        for seed in range(1, 11):
            case = json.loads(json.dumps(make_case(kind, seed)))
            shop = shop_of_case(case)
            by_rule = improve(shop, Effort(moves=0), compiled).plan
            figures = {
                "best_rule": by_rule.weighted_tardiness / DAY,
                "noisy_rules": noisy_rules(shop, compiled, seconds),
                "solver": rival().weighted_days(case, by_rule, seconds=seconds, workers=SEARCHES),
                "found": searched(shop, compiled, seconds).weighted_tardiness / DAY,
                "by_ranks": searched(shop, compiled, seconds, by_ranks=True).weighted_tardiness / DAY,
            }
            report(kind, seed=seed, **figures)
            sums = {name: value + figures[name] for name, value in sums.items()}
        report(f"{kind}, sum of ten", seconds=seconds, **sums)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for of the published instances: seconds for each, whether the solver too, and which ones only."""

    seconds: float
    solver: bool
    only: frozenset[str]

    def of(self, names: Iterable[str]) -> list[str]:
        """Return those of some instances that are wanted."""
        return [name for name in names if not self.only or name in self.only]


def bench_makespan(compiled: Engine, names: Iterable[str], asked: Asked) -> None:
    """Gap to the best makespan known of published job shops; beside it, the constraint solver's."""
    gaps: dict[str, dict[str, float]] = {"gap_percent": {}, "solver_gap_percent": {}}
    for name in asked.of(names):
        best = best_known()[name][1]
        found = searched(read_job_shop(texts()[name]), compiled, asked.seconds, makespan=True).makespan
        spans = {"gap_percent": found}
        if asked.solver:
            spans["solver_gap_percent"] = rival().solved_makespan(name, asked.seconds, at_most=2 * best)
        for which, span in spans.items():
            gaps[which][name] = 100 * (span / best - 1)
        report("makespan", instance=name, best_known=best, makespan=found, **{at: gaps[at][name] for at in spans})
    for group, members in GROUPS.items():
        of_group = {at: [of[name] for name in members if name in of] for at, of in gaps.items()}
        means = {f"mean_{at}": sum(each) / len(each) for at, each in of_group.items() if each}
        if means:
            ours = of_group["gap_percent"]
            told = {"instances": len(ours), "seconds": asked.seconds, "met": ours.count(0.0)}
            report("makespan, mean", group=group, **told, **means)


def bench_tardiness(compiled: Engine, asked: Asked) -> None:
    """Weighted tardiness of the instances of Singer and Pinedo, beside the published optima and the solver's values."""
    totals = Counter[str]()
    for factor in ("1.3", "1.5", "1.6"):
        least, sums, missed = published_tardiness(factor), Counter[str](), {}
        for name in asked.of(least):
            found = searched(tardiness_shop(name, factor), compiled, asked.seconds).weighted_tardiness
            sums.update(found=found, least=least[name])
            if asked.solver:
                sums["solver"] += rival().solved_tardiness(name, factor, asked.seconds, at_most=FAR_TOO_LATE)
            if found != least[name]:
                missed[name] = found - least[name]
        if sums:
            report("tardiness", factor=factor, **sums, missed=str(missed))
            totals.update(sums)
    if not totals:
        return
    above = {
        f"{at}_above_percent": 100 * (totals[at] / totals["least"] - 1) for at in ("found", "solver") if totals[at]
    }
    report("tardiness, all", seconds=asked.seconds, **totals, **above)


def bench_small(compiled: Engine, moves: int) -> None:
    """Small shops under the whole model: found, and proved the least by the constraint solver."""
    found = least = met = 0
    for number, best in proved_plans().items():
        shop = small_shop(number)
        plan = improve(shop, Effort(moves=moves, searches=SEARCHES), compiled).plan
        assert check(shop, plan) == ()
        found, least = found + plan.weighted_tardiness, least + best.weighted_tardiness
        met += plan.weighted_tardiness == best.weighted_tardiness
    report("small shops", shops=len(proved_plans()), met=met, moves=moves, above_percent=100 * (found / least - 1))


def main() -> None:
    """Run what is asked for."""
    compiled = engine(Path(tempfile.gettempdir()) / "lotwright-bench-compiled")
    if compiled is None:
        sys.exit("numba, of the extra 'fast', is not installed.")
    improve(read_job_shop(texts()["ft06"]), Effort(moves=100), compiled, makespan=True)  # compiling is not searching
    improve(tardiness_shop("ft10", "1.3"), Effort(moves=100), compiled)
    wanted = sys.argv[1:] or DEFAULT
    only = frozenset(wanted[wanted.index("only") + 1].split(",")) if "only" in wanted else frozenset[str]()

    def asked(seconds: float) -> Asked:
        return Asked(seconds, "solver" in wanted, only)

    benches = {
        "cases": lambda most: bench_cases(compiled, most),
        "makespan": lambda most: bench_makespan(compiled, ALL, asked(most)),
        "further": lambda most: bench_makespan(compiled, chain.from_iterable(FURTHER.values()), asked(most)),
        "tardiness": lambda most: bench_tardiness(compiled, asked(most)),
        "small": lambda most: bench_small(compiled, int(most)),
    }
    if "decoder" in wanted:
        bench_decoder(compiled)
    for name, bench in benches.items():
        if name in wanted:
            bench(float(wanted[wanted.index(name) + 1]))


if __name__ == "__main__":
    main()
