"""Replications of 300 lots x 7 operations over 15 stations, every time uncertain: compiled, and some in plain Python.

Run as ``python -m tests.bench.bench_chances``; each line printed is one JSON object. Seconds are of the processor.
"""

import time
from pathlib import Path
from tempfile import gettempdir

from app.core.chances.compiled import replayer
from app.core.chances.simulation import Ready, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.decoding import decode_packed
from app.core.planning.ranking import planned_order
from tests.bench.bench_forecast import make_shop
from tests.bench.measuring import best_of, report

REPLICATIONS = 1_000
PLAIN_REPLICATIONS = 10


def lived(ready: Ready, replications: int, threads: int = 1) -> None:
    """Simulate, results included."""
    simulate(ready, seed=1, replications=replications, threads=threads)


def main() -> None:
    """Run the bench."""
    shop = make_shop(300)
    ready = prepare(shop, Uncertainty())
    seconds = best_of(2, lambda: lived(ready, PLAIN_REPLICATIONS))
    report("plain", replications=PLAIN_REPLICATIONS, seconds=seconds, for_1000=seconds * 1000 / PLAIN_REPLICATIONS)
    quick = replayer(Path(gettempdir()) / "lotwright-bench")
    if quick is None:
        return
    ready = prepare(shop, Uncertainty(), quick)
    lived(ready, 1)
    report("compiled", replications=REPLICATIONS, seconds=best_of(5, lambda: lived(ready, REPLICATIONS)))
    plan = decode_packed(ready.case.packing, planned_order(ready.case.packing), quick.engine).arrays
    seconds = best_of(20, lambda: quick.engine.play(plan.fixed, plan.state))
    report("compiled decoder alone", replications=REPLICATIONS, seconds=seconds * REPLICATIONS)
    began = time.perf_counter()
    lived(ready, REPLICATIONS, threads=2)
    report("compiled, two threads, by the clock", replications=REPLICATIONS, seconds=time.perf_counter() - began)
    report("preparing", seconds=best_of(3, lambda: prepare(shop, Uncertainty(), quick)))


if __name__ == "__main__":
    main()
