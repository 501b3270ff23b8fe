from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.forecast import Status, forecast
from tests.core.feasibility import violations
from tests.core.forecast.generated import shops

ANY_SHOP = settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@ANY_SHOP
@given(shops())
def test_any_shop_is_given_a_forecast_that_could_be_carried_out(shop):
    assert violations(shop, forecast(shop)) == []


@ANY_SHOP
@given(shops(), st.randoms(use_true_random=False))
def test_the_order_of_input_changes_nothing(shop, random):
    lots = list(shop.lots)
    random.shuffle(lots)
    assert forecast(replace(shop, lots=tuple(lots))) == forecast(shop)


@ANY_SHOP
@given(shops())
def test_a_lot_is_planned_unless_pieces_of_it_are_held_or_something_is_not_ordered(shop):
    planned = forecast(shop).lots
    for lot in shop.lots:
        held = lot.hold is not None or any(operation.held for operation in lot.operations)
        expected = {Status.HELD} if held else {Status.PLANNED}
        assert planned[lot.key].status in expected | {Status.NO_BLANKS, Status.NO_COMPONENTS}
