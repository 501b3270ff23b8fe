"""Capability indices and their intervals against handbook examples and printed tables."""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.core.quality.capability import expected_out, indices, nearest_interval, width_interval
from app.core.quality.tolerances import Limits


def test_indices():
    # NIST/SEMATECH e-Handbook, 6.1.6: limits 8 and 20, mean 16, standard deviation 2; Cpk = Cp (1 - k) with k = 1/3
    found = indices(Fraction(16), Fraction(2), 50, Limits(Decimal(8), Decimal(20)))
    assert found.width.value == 1.0
    assert [found.upper, found.lower, found.nearest.value] == pytest.approx([0.6667, 1.3333, 0.6667], abs=5e-5)
    assert found.nearest.value == pytest.approx(found.width.value * (1 - 1 / 3))


def test_interval_of_the_nearest_side():
    # Bissell 1990, Applied Statistics 39; worked with Cpk 1.15 from 45 readings: 0.89 to 1.41
    assert nearest_interval(1.15, 45) == pytest.approx((0.89, 1.41), abs=0.005)


@pytest.mark.parametrize(
    ("value", "count", "low", "high"),
    [
        (1.15, 45, 0.8907, 1.4093),
        (1.33, 20, 0.8826, 1.7774),
        (1.33, 50, 1.0509, 1.6091),
        (1.33, 100, 1.1336, 1.5264),
        (1.00, 30, 0.7163, 1.2837),
        (0.625, 30, 0.4248, 0.8252),
    ],
)
def test_more_intervals_of_the_nearest_side(value, count, low, high):
    # the same formula recomputed with scipy, no printed source
    assert nearest_interval(value, count) == pytest.approx((low, high), abs=6e-5)


def test_lower_bound_alone():
    # recomputed: the lower one-sided 95 % bound is the low end of the two-sided 90 % interval
    assert nearest_interval(1.33, 50, Decimal("0.90"))[0] == pytest.approx(1.0958, abs=5e-5)


def test_interval_of_the_width():
    # Montgomery, Introduction to Statistical Quality Control, example 8.4 (from memory): limits 62 and 38, s 1.75, n 20
    found = indices(Fraction(50), Fraction("1.75"), 20, Limits(Decimal(38), Decimal(62)))
    assert found.width.value == pytest.approx(2.29, abs=0.005)
    assert (found.width.low, found.width.high) == pytest.approx((1.57, 3.01), abs=0.006)
    assert width_interval(2.29, 20) == pytest.approx((1.568, 3.011), abs=5e-4)


@pytest.mark.parametrize(
    ("width", "per_million"),
    [
        (0.5, 133_614),
        (0.67, 44_431),
        (1.0, 2_699.8),
        (1.33, 66.07),
        (1.5, 6.795),
        (1.67, 0.544),
        (2.0, 0.00197),
    ],
)
def test_normal_fallout_of_a_centred_process(width, per_million):
    # printed in every table of process capability; recomputed with the normal distribution
    assert expected_out(width, width) * 1e6 == pytest.approx(per_million, rel=2e-3)
