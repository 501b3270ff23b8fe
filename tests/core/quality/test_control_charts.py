"""Control charts: exact points and limits, base periods, verdicts, refusals."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.chart_constants import chart_constants
from app.core.quality.control_charts import (
    ChartKind,
    Stability,
    complete_subgroups,
    individuals_chart,
    mean_deviation_chart,
    mean_range_chart,
)
from app.core.quality.errors import Fault
from app.core.quality.run_rules import Rule
from tests.core.quality.refusals import refused

READINGS = st.decimals("-100", "100", places=4)
ROWS = st.lists(READINGS, min_size=2, max_size=60)
GROUPS = st.integers(2, 6).flatmap(
    lambda size: st.lists(st.lists(READINGS, min_size=size, max_size=size), min_size=2, max_size=15)
)
CALM = [Decimal(each) for each in ("10.1", "9.9", "10.0", "10.1", "9.9") * 5]


def decimals(*values):
    return [Decimal(value) for value in values]


def test_points_are_exact_and_ranges_belong_to_their_later_reading():
    chart = individuals_chart(decimals("0.1", "0.3", "0.2"))
    assert chart.kind is ChartKind.INDIVIDUALS
    assert chart.level.points == (Fraction(1, 10), Fraction(3, 10), Fraction(2, 10))
    assert chart.spread.points == (Fraction(2, 10), Fraction(1, 10))
    assert (chart.level.offset, chart.spread.offset) == (0, 1)
    assert chart.level.limits.center == Fraction(1, 5)
    assert chart.spread.limits.center == Fraction(15, 100)


def test_limits_come_from_the_base_period_only():
    calm_then_high = [*CALM, *decimals("12.0", "12.1")]
    chart = individuals_chart(calm_then_high, base=range(len(CALM)))
    assert chart.level.limits == individuals_chart(CALM).level.limits
    assert {(s.rule, s.point) for s in chart.level.signals} >= {(Rule.BEYOND_LIMIT, 25), (Rule.BEYOND_LIMIT, 26)}
    assert [s.point for s in chart.spread.signals] == [24]
    assert chart.stability() is Stability.NOT_STABLE


def test_a_calm_chart_with_enough_points_is_stable_and_with_fewer_it_tells_nothing():
    assert individuals_chart(CALM).stability() is Stability.STABLE
    assert individuals_chart(CALM[:19]).stability() is Stability.TOO_FEW
    assert individuals_chart(CALM[:19]).stability(enough=19) is Stability.STABLE


def test_a_rule_that_is_switched_off_is_silent_on_both_rows():
    wild = [*CALM, Decimal(90)]
    assert individuals_chart(wild, rules=set(), base=range(25)).stability() is Stability.STABLE
    only = individuals_chart(wild, rules={Rule.EIGHT_IN_A_ROW}, base=range(25))
    assert only.level.signals == only.spread.signals == ()


def test_spreads_are_only_held_against_their_limits():
    groups = [decimals("1.0", "1.2")] * 12 + [decimals("1.1", "1.1")] * 3
    chart = mean_range_chart(groups)
    assert chart.spread.signals == ()


def test_equal_readings_have_limits_without_room():
    chart = individuals_chart(decimals(*["5.00"] * 20))
    assert chart.level.limits.lower == chart.level.limits.upper == 5
    assert chart.within == 0
    assert chart.stability() is Stability.STABLE


@given(ROWS)
def test_individual_limits_are_three_average_moving_ranges_over_d2_away(row):
    chart = individuals_chart(row)
    average = sum(map(Fraction, (abs(b - a) for a, b in pairwise(row)))) / (len(row) - 1)
    half = chart.level.limits.upper - chart.level.limits.center
    assert half == 3 * average / Fraction(chart_constants(2).d2)
    assert chart.level.limits.center - chart.level.limits.lower == half


@given(GROUPS)
def test_the_two_subgroup_charts_share_their_means(groups):
    ranges, deviations = mean_range_chart(groups), mean_deviation_chart(groups)
    assert ranges.level.points == deviations.level.points
    assert ranges.level.limits.center == deviations.level.limits.center
    assert ranges.values == deviations.values == tuple(Fraction(each) for group in groups for each in group)
    for group, point in zip(groups, deviations.spread.points, strict=True):
        assert float(point) == pytest.approx(float(stdev(map(Fraction, group))), abs=1e-12)


@given(GROUPS)
def test_the_limits_of_means_follow_from_the_spread_within(groups):
    for chart in (mean_range_chart(groups), mean_deviation_chart(groups)):
        half = float(chart.level.limits.upper - chart.level.limits.center)
        assert half == pytest.approx(3 * float(chart.within) / len(groups[0]) ** 0.5, abs=1e-9)
        assert 0 <= chart.spread.limits.lower <= chart.spread.limits.center <= chart.spread.limits.upper


@given(GROUPS, READINGS)
def test_shifting_all_readings_shifts_the_levels_and_keeps_the_spread(groups, shift):
    before, after = mean_range_chart(groups), mean_range_chart([[each + shift for each in group] for group in groups])
    assert after.spread == before.spread
    assert after.level.signals == before.level.signals
    assert after.level.limits.upper - before.level.limits.upper == Fraction(shift)


def test_readings_left_over_wait_for_a_complete_subgroup():
    assert complete_subgroups(decimals("1", "2", "3", "4", "5"), 2) == (
        tuple(decimals("1", "2")),
        tuple(decimals("3", "4")),
    )
    assert complete_subgroups([], 3) == ()
    with refused(Fault.TOO_SMALL, what="subgroup", value=0, least=1):
        complete_subgroups(CALM, 0)


@pytest.mark.parametrize("base", [range(0), range(5, 6), range(90, 99)])
def test_a_base_period_without_enough_data_is_refused(base):
    points = len([index for index in base if index < len(CALM)])
    with refused(Fault.EMPTY_BASE, points=points, least=2):
        individuals_chart(CALM, base=base)
    with refused(Fault.EMPTY_BASE, points=points, least=2):
        mean_range_chart([CALM[:3]] * 25, base=base)


def test_no_readings_are_no_base():
    with refused(Fault.EMPTY_BASE, points=0, least=2):
        individuals_chart([])
    with refused(Fault.EMPTY_BASE, points=0, least=2):
        mean_deviation_chart([])


def test_subgroups_that_cannot_be_charted_are_refused():
    with refused(Fault.UNEQUAL_SUBGROUPS, index=1, size=2, expected=3):
        mean_range_chart([CALM[:3], CALM[:2], CALM[:3]])
    with refused(Fault.TOO_SMALL, what="subgroup", value=1, least=2):
        mean_range_chart([CALM[:1]] * 4)
    with refused(Fault.TOO_LARGE, what="subgroup", value=26, most=25):
        mean_range_chart([(CALM * 2)[:26]] * 4)
    with refused(Fault.NOT_A_NUMBER, typed="NaN"):
        individuals_chart(decimals("1", "NaN"))
