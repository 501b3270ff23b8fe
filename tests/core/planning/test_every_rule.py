"""Shops with every rule switched on: the checker, which shares no code with the decoder, finds no rule broken."""

import pytest

from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning.decoding import decode
from app.core.planning.obstacles import ObstacleKind, Status
from app.core.planning.outcome import obstacle_of, plan_of_arrays
from tests.core.planning.every_rule import (
    draw_shop,
    draw_shop_of_few_people,
    draw_shop_of_long_setups,
    draw_shop_of_much_under_way,
)
from tests.core.planning.spoiled_shops import draw_shop_of_closings, draw_spoiled_shop


@pytest.mark.parametrize("first", range(0, 100, 10))
def test_plans_break_no_rule(first: int) -> None:
    for seed in range(first, first + 10):
        shop = draw_shop(seed)
        broken = check(shop, plan_of_arrays(decode(shop)))
        assert broken == (), f"seed {seed}: {broken[0]}"


def test_plans_break_no_rule_where_much_fits_only_after_work_of_its_kind_and_nothing_is_looked_for_far_ahead() -> None:
    some = 0
    for seed in range(24):
        shop = draw_shop_of_long_setups(seed)
        decoded = decode(shop)
        assert check(shop, plan_of_arrays(decoded)) == (), f"seed {seed}"
        assert decoded.arrays.state[a.N_TROUBLE] == 0
        some += len(decoded.packing.if_left_over)
    assert some > 24


def test_plans_break_no_rule_where_people_are_missing_in_whole_shifts() -> None:
    told = planned = 0
    for seed in range(16):
        shop = draw_shop_of_few_people(seed)
        decoded = decode(shop)
        found = plan_of_arrays(decoded)
        assert check(shop, found) == (), f"seed {seed}"
        obstacles = [obstacle_of(decoded, place) for place in range(len(shop.lots))]
        told += sum(one is not None and one.kind is ObstacleKind.NO_PERSON for one in obstacles)
        planned += sum(one.status == "planned" for one in found.lots)
    assert told > 16
    assert planned > 16


def test_plans_break_no_rule_where_several_loads_are_under_way_at_a_station() -> None:
    loads_after_others = counted_pieces = 0
    for seed in range(40):
        shop = draw_shop_of_much_under_way(seed)
        decoded = decode(shop)
        assert check(shop, plan_of_arrays(decoded)) == (), f"seed {seed}"
        rows = decoded.packing.tables.under_way
        loads_after_others += len({row[a.U_FIRST] for row in rows}) - len({row[a.U_STATION] for row in rows})
        counted_pieces += sum(row[a.U_COUNTED] for row in rows)
    assert loads_after_others > 40
    assert counted_pieces > 40


@pytest.mark.parametrize("first", range(0, 80, 10))
def test_plans_break_no_rule_where_much_is_wrong_or_missing(first: int) -> None:
    told: set[ObstacleKind] = set()
    for seed in range(first, first + 10):
        shop = draw_spoiled_shop(seed)
        decoded = decode(shop)
        broken = check(shop, plan_of_arrays(decoded))
        assert broken == (), f"seed {seed}: {broken[0]}"
        obstacles = [obstacle_of(decoded, place) for place in range(len(shop.lots))]
        told |= {one.kind for one in obstacles if one is not None}
    assert told > {ObstacleKind.LOT_NOT_FINISHED, ObstacleKind.COMPONENT_MISSING}


@pytest.mark.parametrize("first", range(0, 120, 10))
def test_plans_break_no_rule_where_stations_crews_and_the_door_close(first: int) -> None:
    told: set[Status] = set()
    for seed in range(first, first + 10):
        shop = draw_shop_of_closings(seed)
        found = plan_of_arrays(decode(shop))
        broken = check(shop, found)
        assert broken == (), f"seed {seed}: {broken[0]}"
        told |= {Status(one.status) for one in found.lots}
    assert told > {Status.NO_OPEN_HOURS, Status.NO_COMPONENTS, Status.PLANNED}


def test_larger_shops_break_no_rule_either() -> None:
    shop = draw_shop(1000, lots=60, operations=7, stations=12)
    assert check(shop, plan_of_arrays(decode(shop))) == ()
