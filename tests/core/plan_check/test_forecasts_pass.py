"""What the forecast makes of any shop is accepted, and any one change to it is caught."""

from dataclasses import replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from app.core.plan_check import check
from tests.core.plan_check.plans import forecast_plan
from tests.core.planning.generated import shops

MANY = settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


@MANY
@given(shops())
def test_the_forecast_of_any_shop_keeps_every_rule(shop):
    assert check(shop, forecast_plan(shop)) == ()


def of_planned_lots(plan):
    """Return the runs of lots that are planned to their end: how much is done of others is left open."""
    planned = {lot.lot for lot in plan.lots if lot.status == "planned"}
    return [run for run in plan.operations if run.lot in planned]


CHANGES = [
    lambda run, by: replace(run, end=run.end + by),
    lambda run, by: replace(run, end=max(run.start, run.end - by)),
    lambda run, by: replace(run, start=run.start - by),
    lambda run, by: replace(run, start=min(run.end, run.start + by)),
    lambda run, by: replace(run, pieces=run.pieces + by),
    lambda run, _: replace(run, pieces=run.pieces - 1),
    lambda run, by: replace(run, setup_s=run.setup_s + by),
    lambda run, _: replace(run, under_way=not run.under_way),
    lambda run, _: replace(run, station="nowhere"),
    lambda run, _: replace(run, index=run.index + 9),
]


@MANY
@given(shops(lots_at_most=3), st.data())
def test_any_change_to_a_run_at_a_station_is_caught(shop, data):
    plan = forecast_plan(shop)
    at_stations = [run for run in of_planned_lots(plan) if run.station is not None]
    assume(at_stations)
    run = data.draw(st.sampled_from(at_stations))
    place = plan.operations.index(run)
    changed = data.draw(st.sampled_from(CHANGES))(run, data.draw(st.sampled_from([1, 60, 900, 86_400])))
    assume(changed != run)
    rows = (*plan.operations[:place], changed, *plan.operations[place + 1 :])
    assert check(shop, replace(plan, operations=rows))


@MANY
@given(shops(lots_at_most=3), st.data())
def test_a_run_left_out_or_told_twice_is_caught(shop, data):
    plan = forecast_plan(shop)
    runs = of_planned_lots(plan)
    assume(runs)
    run = data.draw(st.sampled_from(runs))
    rows = list(plan.operations)
    rows.remove(run)
    assert check(shop, replace(plan, operations=tuple(rows)))
    assert check(shop, replace(plan, operations=(*plan.operations, run)))
