"""Capability: only for a stable process, one-sided limits, intervals that hold their confidence, refusals."""

from decimal import Decimal
from fractions import Fraction
from math import fsum, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.core.quality.capability import assess, expected_out, indices, nearest_interval, width_interval
from app.core.quality.control_charts import Stability, individuals_chart, mean_range_chart
from app.core.quality.errors import Fault
from app.core.quality.tolerances import Limits
from tests.core.quality.refusals import refused

LIMITS = Limits(Decimal("9.0"), Decimal("11.0"), Decimal("10.0"))
CALM = [Decimal(each) for each in ("10.1", "9.9", "10.0", "10.2", "9.9") * 5]


def test_a_stable_process_has_capability_and_performance():
    found = assess(individuals_chart(CALM), LIMITS)
    assert found.stability is Stability.STABLE
    assert found.capability.sigma == individuals_chart(CALM).within
    assert float(found.performance.sigma) == pytest.approx(stats.tstd([float(each) for each in CALM]))
    assert (found.count, found.mean) == (25, Fraction("10.02"))


@pytest.mark.parametrize(
    ("readings", "stability"), [([*CALM, Decimal(14)], Stability.NOT_STABLE), (CALM[:19], Stability.TOO_FEW)]
)
def test_without_control_nothing_is_called_capability(readings, stability):
    found = assess(individuals_chart(readings), LIMITS)
    assert (found.stability, found.capability) == (stability, None)
    assert found.performance.nearest.value > 0


def test_one_limit_has_no_width_and_the_side_it_has():
    upper = indices(Fraction(10), Fraction(1, 10), 30, Limits(upper=Decimal(11)))
    assert (upper.width, upper.lower) == (None, None)
    assert upper.upper == upper.nearest.value == pytest.approx(10 / 3)
    lower = indices(Fraction(10), Fraction(1, 10), 30, Limits(lower=Decimal(11)))
    assert lower.nearest.value == lower.lower == pytest.approx(-10 / 3)
    assert lower.expected_out > 0.999


@given(
    st.fractions(8, 12, max_denominator=1000),
    st.fractions(Fraction(1, 1000), 5, max_denominator=1000),
    st.integers(2, 500),
)
def test_the_nearest_side_is_never_better_than_the_width_and_their_distance_is_the_offset(center, sigma, count):
    found = indices(center, sigma, count, LIMITS)
    offset = abs(float((center - 10) / (3 * sigma)))
    assert found.nearest.value == pytest.approx(found.width.value - offset, abs=1e-9)
    assert found.nearest.low < found.nearest.value < found.nearest.high
    assert found.width.low < found.width.value < found.width.high or count == 2
    out = stats.norm.cdf(9, float(center), float(sigma)) + stats.norm.sf(11, float(center), float(sigma))
    assert found.expected_out == pytest.approx(out, rel=1e-9, abs=1e-300)


@given(st.floats(0.1, 4), st.integers(2, 300), st.decimals("0.5", "0.999", places=3))
def test_intervals_narrow_with_more_readings_and_less_confidence(value, count, confidence):
    for interval in (nearest_interval, width_interval):
        low, high = interval(value, count, confidence)
        more = interval(value, count * 2, confidence)
        less = interval(value, count, confidence / 2)
        assert more[1] - more[0] < high - low
        assert less[1] - less[0] < high - low


def test_a_subgroup_chart_is_judged_by_all_its_readings():
    found = assess(mean_range_chart([CALM[start : start + 5] for start in range(0, 25, 5)] * 4), LIMITS)
    assert found.count == 100


@given(st.floats(0.1, 4), st.integers(2, 50))
def test_the_interval_of_the_width_is_in_proportion_to_it(value, count):
    assert width_interval(value, count) == pytest.approx([value * end for end in width_interval(1.0, count)])


def test_intervals_hold_the_true_index_as_often_as_they_promise():
    # a normal process with limits at -5 and 3 sigma, so with Cpk 1 and Cp 4/3, 50 readings a time
    random, runs, count, held = Random(11), 1500, 50, {"nearest": 0, "width": 0}
    shortest, longest = width_interval(1.0, count)
    for _ in range(runs):
        sample = [random.gauss(0, 1) for _ in range(count)]
        center = fsum(sample) / count
        sigma = sqrt(fsum((each - center) ** 2 for each in sample) / (count - 1))
        low, high = nearest_interval(min(3 - center, center + 5) / (3 * sigma), count)
        held["nearest"] += low <= 1 <= high
        held["width"] += 8 / (6 * sigma) * shortest <= 4 / 3 <= 8 / (6 * sigma) * longest
    # 0.95 within four standard errors of the simulation, and Bissell's approximation a further half percent
    spread = 4 * sqrt(0.95 * 0.05 / runs)
    assert abs(held["width"] / runs - 0.95) < spread
    assert abs(held["nearest"] / runs - 0.95) < spread + 0.005


def test_limits_that_are_not_there_let_nothing_out():
    assert expected_out(None, None) == 0
    assert expected_out(0, None) == 0.5


def test_readings_without_spread_have_no_index():
    equal = individuals_chart([Decimal(10)] * 25)
    with refused(Fault.NO_SPREAD):
        assess(equal, LIMITS)
    with refused(Fault.TOO_FEW, what="readings", count=1, least=2):
        indices(Fraction(10), Fraction(1), 1, LIMITS)


@pytest.mark.parametrize("confidence", ["0", "1", "1.5", "-1"])
def test_a_confidence_at_its_ends_is_refused(confidence):
    with refused(Fault.NOT_BETWEEN, what="confidence", value=Decimal(confidence), low=0, high=1):
        assess(individuals_chart(CALM), LIMITS, Decimal(confidence))
