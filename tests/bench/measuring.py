"""Taking times and printing them, the same in every bench of the core."""

import json
import time
from collections.abc import Callable


def best_of(times: int, run: Callable[[], object]) -> float:
    """Return the shortest of several runs in seconds of processor time."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return min(taken)


def report(bench: str, **figures: float | str) -> None:
    """Print one line."""
    rounded = {name: round(each, 6) if isinstance(each, float) else each for name, each in figures.items()}
    print(json.dumps({"bench": bench, **rounded}), flush=True)
