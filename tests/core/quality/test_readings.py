"""Typed readings: digits kept, slips questioned, nonsense refused."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.readings import (
    Slip,
    Suspicion,
    deviation_of,
    is_far_out,
    read_deviation,
    read_value,
    suspicions,
    value_of,
)
from app.core.quality.tolerances import Limits, Standing
from tests.core.quality.refusals import refused

BORE = Limits(Decimal("0.4995"), Decimal("0.5005"), Decimal("0.500"))
SHAFT_MM = Limits(Decimal("25.00"), Decimal("25.02"), Decimal("25.01"))


@pytest.mark.parametrize("typed", ["0.5000", "12", "-0.010", "+3", ".25", "7.", "0", "000.5003"])
def test_digits_are_kept_as_typed(typed):
    assert read_value(f"  {typed}\r\n").as_tuple() == Decimal(typed).as_tuple()


@pytest.mark.parametrize(
    "typed", ["", "   ", "abc", "1,5", "1.2.3", "1e3", "NaN", "Infinity", "--1", "0x1F", "½", "٣", "1 2", "."]
)
def test_what_is_no_number_is_refused(typed):
    with refused(Fault.NOT_A_NUMBER, typed=typed):
        read_value(typed)


@pytest.mark.parametrize("typed", ["9" * 10_000, "0." + "1" * 10_000, "1234567890", "0.0000000001"])
def test_too_many_digits_are_refused(typed):
    with refused(Fault.TOO_MANY_DIGITS, before=9, after=9):
        read_value(typed)


def test_ten_thousand_letters_come_back_shortened():
    with refused(Fault.NOT_A_NUMBER, typed="x" * 36):
        read_value("x" * 10_000)


@pytest.mark.parametrize(
    ("typed", "value"), [("+3", "0.5003"), ("-12", "0.4988"), ("0", "0.5000"), ("-2.5", "0.49975"), ("4", "0.5004")]
)
def test_a_deviation_counts_in_the_last_place_of_nominal_and_limits(typed, value):
    assert str(read_deviation(typed, BORE)) == value


def test_a_deviation_needs_a_nominal():
    with refused(Fault.NO_NOMINAL):
        read_deviation("3", Limits(upper=Decimal("0.02")))
    with refused(Fault.NO_NOMINAL):
        deviation_of(Decimal("0.01"), Limits(upper=Decimal("0.02")))


def test_a_deviation_to_more_digits_than_can_be_kept_is_refused():
    with refused(Fault.TOO_MANY_DIGITS, before=9, after=9):
        read_deviation("0.1234567", BORE)


@given(st.decimals(-9999, 9999, places=3), st.decimals(-9999, 9999, places=4))
def test_value_and_deviation_are_two_ways_to_say_the_same(deviation, nominal):
    limits = Limits(nominal - 1, nominal + 1, nominal)
    assert deviation_of(value_of(deviation, limits), limits) == deviation


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-99999, max_value=99999, places=9))
def test_every_digit_of_a_long_reading_survives(value):
    limits = Limits(Decimal("-999999999"), Decimal("999999999.999999999"), Decimal("123456789.123456789"))
    assert value_of(deviation_of(value, limits), limits) == value


def test_millimetres_typed_for_inches_are_questioned():
    assert suspicions(Decimal("12.70"), BORE) == (Suspicion(Slip.OTHER_UNIT, Decimal("0.50000")),)


def test_inches_typed_for_millimetres_are_questioned():
    assert suspicions(Decimal("0.985"), SHAFT_MM) == (Suspicion(Slip.OTHER_UNIT, Decimal("25.0190")),)


@pytest.mark.parametrize(
    ("typed", "meant"), [("5.003", "0.5003"), ("0.05003", "0.5003"), ("5003", "0.5003"), ("50.03", "0.5003")]
)
def test_a_moved_or_forgotten_point_is_questioned(typed, meant):
    assert suspicions(Decimal(typed), BORE) == (Suspicion(Slip.POINT_MOVED, Decimal(meant)),)


@pytest.mark.parametrize("typed", ["0.5003", "0.5006", "0.5015", "0.4985", "0.6", "0", "-0.5"])
def test_a_reading_that_may_be_or_that_nothing_explains_is_not_questioned(typed):
    assert suspicions(Decimal(typed), BORE) == ()


def test_a_bad_piece_with_one_limit_is_only_questioned_when_it_is_far_out():
    run_out = Limits(upper=Decimal("0.02"))
    assert suspicions(Decimal("0.05"), run_out) == ()
    slips = suspicions(Decimal("0.15"), run_out)
    assert Suspicion(Slip.POINT_MOVED, Decimal("0.015")) in slips
    assert Suspicion(Slip.OTHER_UNIT, Decimal("0.006")) in slips


def test_far_out_needs_a_scale():
    at_zero = Limits(lower=Decimal(0))
    assert not is_far_out(Decimal(-5), at_zero)
    exactly = Limits(Decimal(5), Decimal(5))
    assert is_far_out(Decimal(50), exactly)
    assert not is_far_out(Decimal("5.1"), exactly)


LIMITS = st.tuples(st.decimals(-100, 100, places=3), st.decimals("0.001", 10, places=3)).map(
    lambda ends: Limits(ends[0], ends[0] + ends[1])
)


@given(st.decimals(-1000, 1000, places=3), LIMITS)
def test_only_readings_out_of_limits_are_questioned_and_what_is_offered_is_within(value, limits):
    found = suspicions(value, limits)
    assert not found or limits.standing(value) is not Standing.GOOD
    assert all(limits.standing(each.meant) is Standing.GOOD for each in found)
