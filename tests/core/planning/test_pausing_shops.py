"""Shops whose stations pause one by one, with few people: people are left to the stations that open again."""

import pytest

from app.core.chances.simulation import PLAIN_REPLAYER, Replayer, prepare, simulate
from app.core.plan_check import Rule, check
from app.core.planning.decoding import decode, decode_packed
from app.core.planning.kernels import starting
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan
from app.core.planning.search import Effort, improve
from app.core.shop import Shop
from tests.core.chances.odds import everything
from tests.core.planning.pausing_shops import draw_shop_of_pauses
from tests.core.planning.test_forecasts import assert_reasons_add_up

SHOPS = 16


@pytest.fixture(scope="module")
def drawn() -> list[tuple[Shop, Plan]]:
    """Return some shops with their plans."""
    return [(shop, plan_of_arrays(decode(shop))) for shop in map(draw_shop_of_pauses, range(SHOPS))]


def test_plans_break_no_rule_and_their_reasons_add_up(drawn: list[tuple[Shop, Plan]]) -> None:
    for seed, (shop, found) in enumerate(drawn):
        assert check(shop, found) == (), f"seed {seed}"
        assert_reasons_add_up(shop)


def test_without_the_look_at_openings_other_plans_are_made_and_refused_and_no_lot_more_is_planned(
    drawn: list[tuple[Shop, Plan]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every plan that is another one without the rule breaks it; and none that is planned without it is not with it."""
    monkeypatch.setattr(starting, "wanted_later", lambda *_: False)
    refused = 0
    for seed, (shop, found) in enumerate(drawn):
        careless = plan_of_arrays(decode(shop))
        broken = {violation.rule for violation in check(shop, careless)}
        assert broken == (set() if careless.operations == found.operations else {Rule.PEOPLE}), f"seed {seed}"
        assert [one.status for one in careless.lots] == [one.status for one in found.lots], f"seed {seed}"
        refused += bool(broken)
    assert refused > SHOPS // 4


def test_a_search_over_such_shops_is_proved(drawn: list[tuple[Shop, Plan]]) -> None:
    for shop, found in drawn[:3]:
        better = improve(shop, Effort(moves=40, seed=1)).plan
        assert check(shop, better) == ()
        assert better.weighted_tardiness <= found.weighted_tardiness


@pytest.mark.xdist_group("compiled")
def test_compiled_and_plain_plans_and_replications_are_identical(
    drawn: list[tuple[Shop, Plan]], compiled_replayer: Replayer
) -> None:
    for seed, (shop, found) in enumerate(drawn):
        plain = decode(shop)
        quick = decode_packed(plain.packing, planned_order(plain.packing), compiled_replayer.engine)
        assert plan_of_arrays(quick) == found, f"seed {seed}"
        assert run_rows(quick) == run_rows(plain), f"seed {seed}"
    for seed, (shop, _) in enumerate(drawn[:4]):
        lived = [
            simulate(prepare(shop, everything(shop), each), seed=seed, replications=3)
            for each in (PLAIN_REPLAYER, compiled_replayer)
        ]
        assert lived[0] == lived[1], f"seed {seed}"
