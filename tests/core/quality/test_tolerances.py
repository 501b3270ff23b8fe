"""Limits: what is accepted as limits, how a reading stands, where it lies on the bar, how fine a gauge must be."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.tolerances import (
    Attribute,
    Limits,
    Standing,
    bar_position,
    coarsest_resolution,
    decimal_places,
    is_fine_enough,
)
from tests.core.quality.refusals import refused

BORE = Limits(Decimal("0.4995"), Decimal("0.5005"), Decimal("0.500"))
RUN_OUT = Limits(upper=Decimal("0.02"))
LENGTH = Limits(lower=Decimal("12.0"), nominal=Decimal("12.5"))
VALUES = st.decimals(-1000, 1000, places=6)


@pytest.mark.parametrize(
    ("reading", "standing"),
    [
        ("0.4995", Standing.GOOD),
        ("0.49949999", Standing.BELOW),
        ("0.5005", Standing.GOOD),
        ("0.50050000", Standing.GOOD),
        ("0.500500001", Standing.ABOVE),
    ],
)
def test_a_limit_is_good_and_the_least_digit_beyond_it_is_not(reading, standing):
    assert BORE.standing(Decimal(reading)) is standing


def test_an_open_side_limits_nothing():
    assert RUN_OUT.standing(Decimal(-900)) is Standing.GOOD
    assert RUN_OUT.standing(Decimal("0.021")) is Standing.ABOVE
    assert LENGTH.standing(Decimal(900)) is Standing.GOOD
    assert LENGTH.standing(Decimal("11.9999")) is Standing.BELOW


def test_an_attribute_is_met_or_not():
    assert Attribute().standing(met=True) is Standing.GOOD
    assert Attribute().standing(met=False) is Standing.NOT_MET


@given(VALUES, VALUES, VALUES)
def test_a_reading_is_good_exactly_when_it_lies_on_the_bar(lower, upper, reading):
    assume(lower < upper)
    limits = Limits(lower, upper)
    assert (limits.standing(reading) is Standing.GOOD) == (0 <= bar_position(limits, reading) <= 1)
    assert (limits.exceeded(reading) is None) == (limits.standing(reading) is Standing.GOOD)
    assert (bar_position(limits, lower), bar_position(limits, upper)) == (0, 1)


def test_limits_the_wrong_way_round_are_refused():
    with refused(Fault.LIMITS_REVERSED, lower=Decimal("0.51"), upper=Decimal("0.49")):
        Limits(Decimal("0.51"), Decimal("0.49"))


@pytest.mark.parametrize("nominal", ["0.48", "0.52"])
def test_a_nominal_outside_its_limits_is_refused(nominal):
    with refused(Fault.NOMINAL_OUTSIDE, nominal=Decimal(nominal), lower=Decimal("0.49"), upper=Decimal("0.51")):
        Limits(Decimal("0.49"), Decimal("0.51"), Decimal(nominal))


def test_a_nominal_beyond_the_only_limit_is_refused():
    with refused(Fault.NOMINAL_OUTSIDE, nominal=Decimal(1), lower=None, upper=Decimal("0.5")):
        Limits(upper=Decimal("0.5"), nominal=Decimal(1))


def test_limits_without_a_limit_are_refused():
    with refused(Fault.NO_LIMIT):
        Limits(nominal=Decimal(1))


@pytest.mark.parametrize("value", ["NaN", "sNaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_refused(value):
    with refused(Fault.NOT_A_NUMBER, typed=value):
        Limits(upper=Decimal(value))


@pytest.mark.parametrize("value", ["1234567890", "0.1234567891", "1E+9", "1E-10", "9" * 10_000])
def test_more_digits_than_can_be_kept_are_refused(value):
    with refused(Fault.TOO_MANY_DIGITS, before=9, after=9):
        Limits(upper=Decimal(value))


@pytest.mark.parametrize("value", ["123456789.123456789", "0E+5", "0.000000001", "-999999999"])
def test_the_most_digits_are_kept(value):
    assert Limits(upper=Decimal(value)).upper == Decimal(value)


def test_equal_limits_are_limits():
    exactly = Limits(Decimal(5), Decimal("5.0"))
    assert exactly.standing(Decimal("5.00")) is Standing.GOOD
    assert exactly.width == 0
    assert bar_position(exactly, Decimal(5)) is None


def test_the_bar_of_one_limit_starts_at_the_nominal_or_at_zero():
    assert bar_position(RUN_OUT, Decimal("0.005")) == Fraction(1, 4)
    assert bar_position(LENGTH, Decimal("12.25")) == Fraction(1, 2)
    assert bar_position(LENGTH, Decimal("11.5")) == -1
    assert bar_position(Limits(upper=Decimal(-1)), Decimal(-2)) is None


def test_places_are_those_of_the_finest_value_as_written():
    assert BORE.places == 4
    assert Limits(Decimal("0.5"), Decimal("0.50"), Decimal("0.500")).places == 3
    assert decimal_places(Decimal("1E+3")) == decimal_places(Decimal(12)) == 0


def test_a_gauge_resolves_a_tenth_of_the_tolerance():
    assert coarsest_resolution(BORE) == Fraction("0.0001")
    assert is_fine_enough(Decimal("0.0001"), BORE)
    assert not is_fine_enough(Decimal("0.00011"), BORE)


def test_the_tolerance_of_one_limit_reaches_from_the_nominal():
    assert coarsest_resolution(LENGTH) == Fraction("0.05")
    assert coarsest_resolution(Limits(upper=Decimal("0.5"), nominal=Decimal(0))) == Fraction("0.05")


@pytest.mark.parametrize(
    "limits", [RUN_OUT, Limits(Decimal(5), Decimal(5)), Limits(upper=Decimal(1), nominal=Decimal(1))]
)
def test_without_a_tolerance_no_resolution_is_too_coarse(limits):
    assert coarsest_resolution(limits) is None
    assert is_fine_enough(Decimal(100), limits)
