"""The compiled decoder writes what the plain one writes, to the second."""

import json

import pytest

from app.core.case_file import shop_of_case
from app.core.chances.simulation import Replayer
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning.decoding import Engine, decode, decode_packed
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.planning.ranking import planned_order
from app.core.planning.search import Effort, improve
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.every_rule import draw_shop
from tests.published.job_shops import tardiness_shop, texts

SHOPS = 300

pytestmark = pytest.mark.xdist_group("compiled")


@pytest.fixture
def compiled(compiled_replayer: Replayer) -> Engine:
    return compiled_replayer.engine


def test_on_generated_shops_compiled_and_plain_plans_are_identical(compiled: Engine) -> None:
    kinds = set()
    for seed in range(SHOPS):
        plain = decode(draw_shop(seed))
        quick = decode_packed(plain.packing, planned_order(plain.packing), compiled)
        assert plan_of_arrays(quick) == plan_of_arrays(plain), f"seed {seed}"
        assert run_rows(quick) == run_rows(plain), f"seed {seed}"
        kinds |= {lot.status for lot in plan_of_arrays(plain).lots}
        assert int(quick.arrays.state[a.N_TROUBLE]) == plain.arrays.state[a.N_TROUBLE]
    assert {"planned", "held", "no open hours"} <= kinds


def test_searches_compiled_and_plain_find_the_same_plans(compiled: Engine) -> None:
    case = shop_of_case(json.loads(json.dumps(make_case("heavy", 4, lots=20))))
    ranked, published, late = (
        draw_shop(2, lots=4, operations=3),
        read_job_shop(texts()["la02"]),
        tardiness_shop("la17", "1.3"),
    )
    tried = ((case, 400, False), (ranked, 30, False), (published, 400, True), (late, 700, False))
    for shop, moves, makespan in tried:
        effort = Effort(moves=moves, searches=2, seed=3)
        quick = improve(shop, effort, compiled, makespan=makespan)
        assert quick == improve(shop, effort, makespan=makespan)
        assert check(shop, quick.plan) == ()
