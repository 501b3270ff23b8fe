"""Histograms: every reading in one bin, none on an edge, exact counts against the limits."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.histogram import MOST_BINS, histogram
from app.core.quality.tolerances import Limits
from tests.core.quality.refusals import refused

LIMITS = Limits(Decimal("9.5"), Decimal("10.5"))
READINGS = st.lists(
    st.one_of(st.decimals("-20", "20", places=3), st.decimals("9", "11", places=1)), min_size=1, max_size=300
)


def test_bins_hold_round_numbers_of_last_places_with_edges_beside_them():
    found = histogram([Decimal(each) for each in ("10.00", "10.01", "10.02", "10.05", "10.09")], LIMITS)
    assert [(each.low, each.high, each.count) for each in found.bins] == [
        (Fraction("9.995"), Fraction("10.015"), 2),
        (Fraction("10.015"), Fraction("10.035"), 1),
        (Fraction("10.035"), Fraction("10.055"), 1),
        (Fraction("10.055"), Fraction("10.075"), 0),
        (Fraction("10.075"), Fraction("10.095"), 1),
    ]


def test_counts_against_the_limits_are_exact_whatever_the_bins():
    found = histogram([Decimal(each) for each in ("9.4999", "9.5", "10", "10.5", "10.5001", "11")], LIMITS)
    assert (found.below, found.within, found.above) == (1, 3, 2)


def test_equal_readings_share_a_bin():
    found = histogram([Decimal("10.0")] * 7, LIMITS)
    assert [(each.low, each.high, each.count) for each in found.bins] == [(Fraction("9.95"), Fraction("10.05"), 7)]


@given(READINGS)
def test_each_reading_lies_inside_exactly_one_bin(readings):
    found = histogram(readings, LIMITS)
    for each in found.bins:
        assert each.count == sum(each.low < Fraction(reading) < each.high for reading in readings)
    assert sum(each.count for each in found.bins) == len(readings) == found.below + found.within + found.above
    assert found.bins[0].count
    assert found.bins[-1].count
    assert len(found.bins) <= MOST_BINS + 1
    assert len({each.high - each.low for each in found.bins}) == 1
    assert all(left.high == right.low for left, right in zip(found.bins, found.bins[1:], strict=False))


def test_no_readings_have_no_histogram():
    with refused(Fault.TOO_FEW, what="readings", count=0, least=1):
        histogram([], LIMITS)
    with refused(Fault.NOT_A_NUMBER, typed="NaN"):
        histogram([Decimal("NaN")], LIMITS)
