"""The decoder and the search: frozen cases, published instances, small shops, speed.

Run as ``python -m tests.bench.bench_planning [decoder] [cases SECONDS] [makespan SECONDS] [hard SECONDS] [tardiness
SECONDS] [small MOVES]``; each line printed is one JSON object. Times are of the processor, for each of two searches
side by side; a constraint solver (OR-Tools CP-SAT, the extra ``bench``) with two workers has the same on the clock.
"""

import json
import random
import sys
import tempfile
import time
from pathlib import Path

from app.core.case_file import shop_of_case
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning.compiled import engine
from app.core.planning.decoding import PLAIN, Engine, decode, make_arrays, set_ranks
from app.core.planning.listing import as_line
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan
from app.core.planning.search import Effort, best_by_rules, improve
from app.core.shop import Shop
from tests.bench.cases.shop_cases import make_case
from tests.bench.small_shops import proved_plans, small_shop
from tests.core.planning.every_rule import draw_shop
from tests.published.job_shops import best_known, jobs_of, published_tardiness, tardiness_shop, texts

DAY = 86_400
HARD = ("abz7", "abz8", "abz9", "la21", "la24", "la27", "la29", "la38", "la40")
ALL = (
    *("ft06", "ft10", "ft20", *(f"la{n:02}" for n in range(1, 41))),
    *(*(f"abz{n}" for n in range(5, 10)), *(f"orb{n:02}" for n in range(1, 11))),
)
FURTHER = (
    *(f"ta{n:02}" for n in range(1, 21)),
    *(f"swv{n:02}" for n in range(1, 21)),
    *(f"yn{n}" for n in range(1, 5)),
)
SEARCHES = 2


def report(bench: str, **figures: float | str) -> None:
    """Print one line."""
    rounded = {name: round(each, 4) if isinstance(each, float) else each for name, each in figures.items()}
    print(json.dumps({"bench": bench, **rounded}), flush=True)


def searched(shop: Shop, compiled: Engine, seconds: float, *, makespan: bool = False, by_ranks: bool = False) -> Plan:
    """Return what two searches find in some seconds of the processor each, proved."""
    effort = Effort(seconds=seconds, searches=SEARCHES, clock=time.thread_time)
    found = improve(shop, effort, compiled, makespan=makespan, by_ranks=by_ranks).plan
    assert check(shop, found) == ()
    return found


def bench_decoder(compiled: Engine) -> None:
    """Every rule on: compiled by size, plain for 300 lots."""
    for lots in (300, 1_000, 3_000, 10_000):
        shop = draw_shop(1, lots=lots, operations=7, stations=15)
        packing = decode(shop, compiled).packing
        arrays = make_arrays(packing, compiled, 8)
        set_ranks(arrays, planned_order(packing))
        taken = []
        for _ in range(3):
            begun = time.process_time()
            compiled.play(*arrays)
            taken.append(time.process_time() - begun)
        operations = len(packing.operations)
        assert not arrays.state[a.N_TROUBLE] & a.TOO_FEW_ROWS
        report("decoder", lots=lots, operations=operations, microseconds_per_operation=min(taken) / operations * 1e6)
        if lots == 300:
            begun = time.process_time()
            decode(shop, PLAIN)
            report("decoder, plain, with packing", lots=lots, milliseconds=(time.process_time() - begun) * 1e3)


def noisy_rules(shop: Shop, compiled: Engine, seconds: float) -> float:
    """Return the weighted days late of the best of many lists near that of the best rule, two times so many seconds."""
    line = as_line(decode(shop, compiled).packing, makespan=False)
    assert line is not None
    fixed, draw = compiled.array(line.fixed), random.Random(1)
    course = best_by_rules(line, compiled, fixed)
    places = [line.fixed[a.F_PLACES] + at * a.PLACE_COLUMNS + a.D_LOT for at in range(line.fixed[a.F_STEPS_COUNT])]
    lots = [int(course[place]) for place in places]
    best, begun = int(course[a.M_COST]), time.thread_time()
    while time.thread_time() - begun < SEARCHES * seconds:
        noise = draw.choice((1, 2, 5, 10, 20, 40))
        noisy = sorted((at + noise * draw.random(), lot) for at, lot in enumerate(lots))
        for place, (_, lot) in zip(places, noisy, strict=True):
            course[place] = lot
        best = min(best, int(compiled.decode_list(fixed, course)))
    return best / DAY


def bench_cases(compiled: Engine, seconds: float) -> None:
    """Weighted days late of the frozen cases: of lists, and of ranks, by which a station never waits for what comes.

    Beside them the best rule, restarts of noisy rules, and the constraint solver, told the best rule's plan.
    """
    from tests.bench.case_oracle import weighted_days  # noqa: PLC0415 - needs an extra that is large

    for kind in ("moderate", "heavy"):
        sums = dict.fromkeys(("best_rule", "noisy_rules", "solver", "found", "by_ranks"), 0.0)
        for seed in range(1, 11):
            case = json.loads(json.dumps(make_case(kind, seed)))
            shop = shop_of_case(case)
            by_rule = improve(shop, Effort(moves=0), compiled).plan
            figures = {
                "best_rule": by_rule.weighted_tardiness / DAY,
                "noisy_rules": noisy_rules(shop, compiled, seconds),
                "solver": weighted_days(case, by_rule, seconds=seconds, workers=SEARCHES),
                "found": searched(shop, compiled, seconds).weighted_tardiness / DAY,
                "by_ranks": searched(shop, compiled, seconds, by_ranks=True).weighted_tardiness / DAY,
            }
            report(kind, seed=seed, **figures)
            sums = {name: value + figures[name] for name, value in sums.items()}
        report(f"{kind}, sum of ten", seconds=seconds, **sums)


def bench_makespan(compiled: Engine, names: tuple[str, ...], seconds: float, *, rival: bool) -> None:
    """Gap to the best makespan known of published job shops; beside it, the constraint solver's."""
    gaps: dict[str, list[float]] = {"gap_percent": []}
    for name in names:
        best = best_known()[name][1]
        spans = {"gap_percent": searched(read_job_shop(texts()[name]), compiled, seconds, makespan=True).makespan}
        if rival:
            from tests.bench.oracle import least_makespan  # noqa: PLC0415 - needs an extra that is large

            answer = least_makespan(jobs_of(name), seconds=seconds, workers=SEARCHES).value
            spans["solver_gap_percent"] = answer if answer is not None else 2 * best
        for which, span in spans.items():
            gaps.setdefault(which, []).append(100 * (span / best - 1))
        report("makespan", instance=name, makespan=spans["gap_percent"], best_known=best)
    means = {f"mean_{which}": sum(each) / len(each) for which, each in gaps.items()}
    report("makespan, mean", instances=len(names), seconds=seconds, met=gaps["gap_percent"].count(0.0), **means)


def bench_tardiness(compiled: Engine, seconds: float) -> None:
    """Weighted tardiness of the instances of Singer and Pinedo, beside the published optima."""
    found_in_all = least_in_all = 0
    for factor in ("1.3", "1.5", "1.6"):
        found, least = {}, published_tardiness(factor)
        for name in least:
            found[name] = searched(tardiness_shop(name, factor), compiled, seconds).weighted_tardiness
        missed = {name: value - least[name] for name, value in found.items() if value != least[name]}
        report("tardiness", factor=factor, found=sum(found.values()), least=sum(least.values()), missed=str(missed))
        found_in_all, least_in_all = found_in_all + sum(found.values()), least_in_all + sum(least.values())
    report("tardiness, all", seconds=seconds, above_percent=100 * (found_in_all / least_in_all - 1))


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
    benches = {
        "cases": lambda most: bench_cases(compiled, most),
        "makespan": lambda most: bench_makespan(compiled, ALL, most, rival=False),
        "further": lambda most: bench_makespan(compiled, FURTHER, most, rival=False),
        "hard": lambda most: bench_makespan(compiled, HARD, most, rival=True),
        "tardiness": lambda most: bench_tardiness(compiled, most),
        "small": lambda most: bench_small(compiled, int(most)),
    }
    wanted = sys.argv[1:] or [
        "decoder",
        "cases",
        "5",
        "makespan",
        "10",
        "hard",
        "10",
        "tardiness",
        "10",
        "small",
        "20000",
    ]
    if "decoder" in wanted:
        bench_decoder(compiled)
    for name, bench in benches.items():
        if name in wanted:
            bench(float(wanted[wanted.index(name) + 1]))


if __name__ == "__main__":
    main()
