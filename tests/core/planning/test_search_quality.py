"""A short bench of the search with fixed numbers of moves: its quality on published job shops and planning cases.

Optima: see the files in tests/published/instances. Weighted tardiness: M. Singer and M. Pinedo, IIE Transactions 30
(1998) 109-118. Time decides nothing here; ``tests/bench/bench_planning.py`` gives the search the time that shops have.
"""

import json

import pytest

from app.core.case_file import shop_of_case
from app.core.chances.simulation import Replayer
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning.decoding import Engine
from app.core.planning.search import Effort, improve
from tests.bench.cases.shop_cases import make_case
from tests.published.job_shops import best_known, published_tardiness, tardiness_shop, texts

DAY = 86_400


pytestmark = pytest.mark.xdist_group("compiled")


@pytest.fixture
def compiled(compiled_replayer: Replayer) -> Engine:
    return compiled_replayer.engine


@pytest.mark.parametrize(
    ("name", "gap"),
    [("ft06", 0), ("ft20", 0), ("la01", 0), ("la31", 0), ("ft10", 0.01), ("la21", 0.01), ("abz7", 0.04)],
)
def test_the_last_lot_ends_near_the_earliest_end_known(compiled: Engine, name: str, gap: float) -> None:
    shop = read_job_shop(texts()[name])
    found = improve(shop, Effort(moves=100_000, seed=2), compiled, makespan=True).plan
    assert check(shop, found) == ()
    assert best_known()[name][0] <= found.makespan <= (1 + gap) * best_known()[name][1]


def test_weighted_tardiness_lies_near_the_least(compiled: Engine) -> None:
    found = least = 0
    for name, factor in (("ft10", "1.3"), ("la16", "1.3"), ("la21", "1.3"), ("abz5", "1.5")):
        shop = tardiness_shop(name, factor)
        plan = improve(shop, Effort(moves=1_600_000, seed=3), compiled).plan
        assert check(shop, plan) == ()
        assert plan.weighted_tardiness >= published_tardiness(factor)[name]
        found += plan.weighted_tardiness
        least += published_tardiness(factor)[name]
    assert found <= 1.05 * least


def test_planning_cases_are_planned_far_better_than_by_the_best_rule(compiled: Engine) -> None:
    """The best of the dispatch rules gives 128.8 and 304.5 weighted days late."""
    for kind, seed, most in (("moderate", 1, 65), ("heavy", 3, 250)):
        shop = shop_of_case(json.loads(json.dumps(make_case(kind, seed))))
        plan = improve(shop, Effort(moves=400_000, searches=2, seed=2), compiled).plan
        assert check(shop, plan) == ()
        assert plan.weighted_tardiness <= most * DAY
