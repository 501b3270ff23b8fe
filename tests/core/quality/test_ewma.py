"""Weighted averages: recursion, limits, refusals."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.control_charts import individuals_chart
from app.core.quality.errors import Fault
from app.core.quality.ewma import ewma_around, ewma_chart
from tests.core.quality.refusals import refused

ROWS = st.lists(st.decimals("-100", "100", places=3), min_size=2, max_size=60)
WEIGHTS = st.decimals("0.01", "1", places=2)


@given(ROWS, WEIGHTS)
def test_each_point_is_the_weighted_sum_of_all_readings_and_the_centre(row, weight):
    chart = ewma_chart(row, weight)
    share = Fraction(weight)
    for last, point in enumerate(chart.points):
        exact = sum(share * (1 - share) ** (last - at) * Fraction(row[at]) for at in range(last + 1))
        exact += (1 - share) ** (last + 1) * chart.center
        assert abs(point - exact) < Fraction(1, 10**27)


@given(ROWS, WEIGHTS)
def test_the_limits_widen_to_their_steady_value(row, weight):
    chart = ewma_chart(row, weight)
    assert list(chart.upper) == sorted(chart.upper)
    assert chart.upper[-1] <= chart.steady_upper
    assert all(low + high == 2 * chart.center for low, high in zip(chart.lower, chart.upper, strict=True))


@given(ROWS)
def test_with_all_the_weight_on_the_latest_it_is_the_chart_of_single_readings(row):
    chart, single = ewma_chart(row, Decimal(1)), individuals_chart(row).level
    assert chart.points == single.points
    assert (chart.lower[0], chart.upper[0]) == (single.limits.lower, single.limits.upper)


def test_a_small_shift_is_found_that_single_readings_do_not_show():
    calm = [Decimal(each) for each in ("9", "11") * 12]
    shifted = [*calm, *[each + 1 for each in calm]]
    assert not [s for s in individuals_chart(shifted, base=range(24)).level.signals if s.rule == "beyond limit"]
    found = ewma_chart(shifted, base=range(24), width=Decimal("1.5")).beyond
    assert found
    assert min(found) >= 24


def test_settings_out_of_range_are_refused():
    with refused(Fault.NOT_BETWEEN, what="weight", value=Decimal(0), low=Decimal("0.01"), high=1):
        ewma_around([], Fraction(0), Fraction(1), Decimal(0))
    with refused(Fault.NOT_BETWEEN, what="weight", value=Decimal("1.1"), low=Decimal("0.01"), high=1):
        ewma_around([], Fraction(0), Fraction(1), Decimal("1.1"))
    with refused(Fault.NOT_BETWEEN, what="width", value=Decimal(0), low=0, high=10):
        ewma_around([], Fraction(0), Fraction(1), width=Decimal(0))


def test_the_numbers_of_a_long_chart_stay_small():
    chart = ewma_chart([Decimal(index % 7) for index in range(1500)])
    assert chart.points[-1].denominator <= 10**30
    assert chart.upper[-1] == pytest.approx(chart.steady_upper)
