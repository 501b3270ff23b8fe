"""Compiled replications are the plain ones, to the second."""

import os

import pytest

from app.core.chances.compiled import replayer
from app.core.chances.simulation import Replayer, live_through, prepare, simulate
from app.core.planning.outcome import run_rows
from tests.core.chances.odds import everything
from tests.core.planning.every_rule import draw_shop

SHOPS = 40


@pytest.fixture(scope="module")
def compiled() -> Replayer:
    found = replayer()
    if found is None:
        if "fast" in os.environ.get("LOTWRIGHT_TESTS_REQUIRE", ""):
            pytest.fail("numba, of the extra 'fast', is not installed")
        pytest.skip("numba, of the extra 'fast', is not installed")
    return found


def test_with_everything_uncertain_compiled_and_plain_replications_are_identical(compiled: Replayer) -> None:
    for seed in range(SHOPS):
        shop = draw_shop(seed)
        plain, quick = (prepare(shop, everything(shop), *form) for form in ((), (compiled,)))
        assert simulate(quick, seed=seed, replications=3) == simulate(plain, seed=seed, replications=3), f"shop {seed}"
        assert run_rows(live_through(quick, seed=9, replication=1)) == run_rows(
            live_through(plain, seed=9, replication=1)
        )


def test_threads_change_nothing(compiled: Replayer) -> None:
    ready = prepare(draw_shop(3), everything(draw_shop(3)), compiled)
    assert simulate(ready, seed=4, replications=50, threads=3) == simulate(ready, seed=4, replications=50)
