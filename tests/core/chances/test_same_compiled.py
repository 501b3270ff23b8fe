"""Compiled replications are the plain ones, to the second."""

import pytest

from app.core.chances.simulation import Replayer, live_through, prepare, simulate
from app.core.planning.outcome import run_rows
from tests.core.chances.odds import everything
from tests.core.planning.every_rule import draw_shop

SHOPS = 40

pytestmark = pytest.mark.xdist_group("compiled")


def test_with_everything_uncertain_compiled_and_plain_replications_are_identical(compiled_replayer: Replayer) -> None:
    for seed in range(SHOPS):
        shop = draw_shop(seed)
        plain, quick = (prepare(shop, everything(shop), *form) for form in ((), (compiled_replayer,)))
        assert simulate(quick, seed=seed, replications=3) == simulate(plain, seed=seed, replications=3), f"shop {seed}"
        assert run_rows(live_through(quick, seed=9, replication=1)) == run_rows(
            live_through(plain, seed=9, replication=1)
        )


def test_threads_change_nothing(compiled_replayer: Replayer) -> None:
    ready = prepare(draw_shop(3), everything(draw_shop(3)), compiled_replayer)
    assert simulate(ready, seed=4, replications=50, threads=3) == simulate(ready, seed=4, replications=50)
