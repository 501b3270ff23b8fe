"""The decoder and the search: frozen cases, published instances, speed; times are of the processor, one search each.

Run as ``python -m tests.bench.bench_planning [decoder] [cases SECONDS] [published SECONDS]``; each line printed is one
JSON object. A machine that is busy with other work makes less of the same time.
"""

import json
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
from app.core.planning.ranking import planned_order
from app.core.planning.search import Effort, improve
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.every_rule import draw_shop
from tests.published.job_shops import best_known, texts

DAY = 86_400
HARD = ("abz7", "abz8", "abz9", "la21", "la24", "la27", "la29", "la38", "la40")
EASIER = ("ft06", "ft10", "ft20", "la02", "la19", "la31", "orb01", "orb05", "abz5")


def report(bench: str, **figures: float | str) -> None:
    """Print one line."""
    rounded = {name: round(each, 4) if isinstance(each, float) else each for name, each in figures.items()}
    print(json.dumps({"bench": bench, **rounded}), flush=True)


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


def bench_cases(compiled: Engine, seconds: float) -> None:
    """Weighted days late of the frozen cases after some seconds."""
    for kind in ("moderate", "heavy"):
        begun_with = found_in_all = 0.0
        for seed in range(1, 11):
            shop = shop_of_case(json.loads(json.dumps(make_case(kind, seed))))
            rules = improve(shop, Effort(moves=0), compiled).plan
            found = improve(shop, Effort(seconds=seconds, clock=time.process_time), compiled).plan
            assert check(shop, found) == ()
            begun_with += rules.weighted_tardiness / DAY
            found_in_all += found.weighted_tardiness / DAY
            report(kind, seed=seed, best_rule=rules.weighted_tardiness / DAY, found=found.weighted_tardiness / DAY)
        report(f"{kind}, sum of ten", seconds=seconds, best_rule=begun_with, found=found_in_all)


def bench_published(compiled: Engine, seconds: float) -> None:
    """Gap to the best makespan known of published job shops after some seconds."""
    for group, names in (("hard", HARD), ("easier", EASIER)):
        gaps = []
        for name in names:
            shop = read_job_shop(texts()[name])
            effort = Effort(seconds=seconds, clock=time.process_time)
            found = improve(shop, effort, compiled, makespan=True).plan.makespan
            gaps.append(100 * (found / best_known()[name][1] - 1))
            report("published", instance=name, makespan=found, best_known=best_known()[name][1], gap_percent=gaps[-1])
        report(f"published, {group}", seconds=seconds, mean_gap_percent=sum(gaps) / len(gaps))


def main() -> None:
    """Run what is asked for."""
    compiled = engine(Path(tempfile.gettempdir()) / "lotwright-bench-compiled")
    if compiled is None:
        sys.exit("numba, of the extra 'fast', is not installed.")
    improve(read_job_shop(texts()["ft06"]), Effort(moves=100), compiled, makespan=True)  # compiling is not searching
    wanted = sys.argv[1:] or ["decoder", "cases", "5", "published", "10"]
    if "decoder" in wanted:
        bench_decoder(compiled)
    if "cases" in wanted:
        bench_cases(compiled, float(wanted[wanted.index("cases") + 1]))
    if "published" in wanted:
        bench_published(compiled, float(wanted[wanted.index("published") + 1]))


if __name__ == "__main__":
    main()
