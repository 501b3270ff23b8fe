from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Status
from app.core.planning.results import Cause
from app.core.shop import Shop
from tests.core.planning.every_rule import draw_shop
from tests.core.planning.generated import shops

ANY_SHOP = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@ANY_SHOP
@given(shops(), st.randoms(use_true_random=False))
def test_the_order_of_input_changes_nothing(shop, random):
    lots = list(shop.lots)
    random.shuffle(lots)
    assert forecast(replace(shop, lots=tuple(lots))) == forecast(shop)


@ANY_SHOP
@given(shops(all_can_be_done=True))
def test_a_lot_is_planned_unless_pieces_of_it_are_held_or_something_is_not_ordered(shop):
    planned = forecast(shop).lots
    for lot in shop.lots:
        held = lot.hold is not None or any(operation.held for operation in lot.operations)
        expected = {Status.HELD} if held else {Status.PLANNED}
        assert planned[lot.key].status in expected | {Status.NO_BLANKS, Status.NO_COMPONENTS}
    assert_reasons_add_up(shop)


@pytest.mark.parametrize("seed", range(40))
def test_the_reasons_add_up_with_every_rule_switched_on(seed):
    assert_reasons_add_up(draw_shop(seed))


def assert_reasons_add_up(shop: Shop) -> None:
    """Reasons add up to the time between now and the finish, the lots ahead to the time that a station is busy."""
    for planned in forecast(shop).lots.values():
        if planned.finish is None:
            assert planned.chain == ()
            continue
        assert sum(reason.seconds for reason in planned.chain) == planned.finish - shop.now, planned
        assert all(reason.seconds > 0 for reason in planned.chain), planned
        for reason in planned.chain:
            if reason.cause is Cause.BUSY and len(reason.behind) < 20:
                assert sum(seconds for _, seconds in reason.behind) == reason.seconds, reason
