"""Exact numbers and unit conversion."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.measures import (
    above_zero,
    exact,
    inches_to_mm,
    kg_to_pounds,
    mm_to_inches,
    pounds_to_kg,
    rounded,
    zero_or_more,
)

DECIMALS = st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**9), max_value=10**9)


@given(DECIMALS)
def test_conversion_there_and_back_loses_nothing(value):
    assert mm_to_inches(inches_to_mm(value)) == value
    assert kg_to_pounds(pounds_to_kg(value)) == value


@given(st.fractions(), st.integers(0, 8))
def test_rounding_stays_within_half_a_unit_and_has_the_places_asked_for(value, places):
    result = rounded(value, places)
    assert abs(Fraction(result) - value) * 10**places <= Fraction(1, 2)
    assert result.as_tuple().exponent == -places


@pytest.mark.parametrize("check", [exact, above_zero, zero_or_more])
@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "sNaN"])
def test_what_is_not_a_number_is_refused_by_name(check, value):
    with pytest.raises(ValueError, match=r"^The kerf must be a number"):
        check("The kerf", Decimal(value))


def test_zero_and_negative_numbers_are_refused_where_they_make_no_sense():
    assert zero_or_more("The kerf", 0) == 0
    with pytest.raises(ValueError, match=r"^The kerf must be 0 or more, not -0\.1\.$"):
        zero_or_more("The kerf", Decimal("-0.1"))
    with pytest.raises(ValueError, match=r"^The length must be above 0, not 0\.$"):
        above_zero("The length", 0)
