"""The compiled decoder writes what the plain one writes, to the second."""

import json
from dataclasses import replace

import pytest

from app.core.case_file import shop_of_case
from app.core.chances.compiled import CALLED, MODULES
from app.core.chances.simulation import PLAIN_REPLAYER, Replayer, prepare, simulate
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning.compiled import compiled_kernels
from app.core.planning.decoding import PLAIN, Engine, decode, decode_packed
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.planning.ranking import planned_order
from app.core.planning.search import Effort, improve
from app.core.shop import Shop
from tests.bench.cases.shop_cases import make_case
from tests.core.chances.odds import everything
from tests.core.planning.every_rule import (
    draw_shop,
    draw_shop_of_few_people,
    draw_shop_of_long_setups,
    draw_shop_of_much_under_way,
)
from tests.core.planning.test_job_graph import returning_shop
from tests.published.job_shops import tardiness_shop, texts

SHOPS, LONG_SETUPS, FEW_PEOPLE, UNDER_WAY = 300, 60, 20, 40

pytestmark = pytest.mark.xdist_group("compiled")


@pytest.fixture
def compiled(compiled_replayer: Replayer) -> Engine:
    return compiled_replayer.engine


def test_on_generated_shops_compiled_and_plain_plans_are_identical(compiled: Engine) -> None:
    kinds = set()
    drawn = [*map(draw_shop, range(SHOPS)), *map(draw_shop_of_long_setups, range(LONG_SETUPS))]
    drawn += map(draw_shop_of_few_people, range(FEW_PEOPLE))
    drawn += map(draw_shop_of_much_under_way, range(UNDER_WAY))
    for seed, shop in enumerate(drawn):
        plain = decode(shop)
        quick = decode_packed(plain.packing, planned_order(plain.packing), compiled)
        assert plan_of_arrays(quick) == plan_of_arrays(plain), f"seed {seed}"
        assert run_rows(quick) == run_rows(plain), f"seed {seed}"
        kinds |= {lot.status for lot in plan_of_arrays(plain).lots}
        assert int(quick.arrays.state[a.N_TROUBLE]) == plain.arrays.state[a.N_TROUBLE]
    assert {"planned", "held", "no open hours"} <= kinds


class CountedFromFront(list):
    """A list that refuses places counted from its end, as compiled kernels take them for places before it."""

    def __getitem__(self, place):
        assert isinstance(place, slice) or place >= 0
        return super().__getitem__(place)

    def __setitem__(self, place, value):
        assert isinstance(place, slice) or place >= 0
        super().__setitem__(place, value)


def test_kernels_count_places_from_the_front() -> None:
    strict = replace(PLAIN, array=CountedFromFront)
    for seed in range(0, SHOPS, 16):
        decode(draw_shop(seed), strict)
    for shop, moves, makespan in searched():
        improve(shop, Effort(moves=moves, seed=3), strict, makespan=makespan)
    for seed in range(0, 20, 2):
        shop = draw_shop(seed)
        simulate(prepare(shop, everything(shop), replace(PLAIN_REPLAYER, engine=strict)), seed=seed, replications=2)


def searched() -> tuple[tuple[Shop, int, bool], ...]:
    """Return shops that are searched in different ways, for how many moves each, and whether the last finish counts."""
    case = shop_of_case(json.loads(json.dumps(make_case("heavy", 4, lots=20))))
    published, late = read_job_shop(texts()["la02"]), tardiness_shop("la17", "1.3")
    return (
        (case, 400, False),
        (draw_shop(2, lots=4, operations=3), 30, False),
        (published, 400, True),
        (late, 700, False),
        (returning_shop(2), 12_000, False),
    )


def test_searches_compiled_and_plain_find_the_same_plans(compiled: Engine) -> None:
    for shop, moves, makespan in searched():
        effort = Effort(moves=moves, searches=2, seed=3)
        quick = improve(shop, effort, compiled, makespan=makespan)
        assert quick == improve(shop, effort, makespan=makespan)
        assert check(shop, quick.plan) == ()


def test_no_kernel_is_compiled_once_more_for_a_number_that_it_is_given(compiled: Engine) -> None:
    decode(draw_shop(0), compiled)
    kernels = compiled_kernels(None, MODULES, CALLED)
    assert kernels is not None
    assert kernels.functions["play"] is compiled.play
    times = {name: len(kernel.signatures) for name, kernel in kernels.functions.items()}
    assert times["give_work"] == times["set_transfer"] == 1
    assert {name: often for name, often in times.items() if often > 1} == {}
