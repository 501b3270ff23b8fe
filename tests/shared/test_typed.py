"""Numbers, times and weights as people type them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.shared.typed import (
    HEAVIEST_GRAMS,
    LONGEST_MS,
    TypedError,
    decimal_number,
    minutes_s,
    plain,
    time_ms,
    typed_minutes,
    typed_ms,
    typed_weight,
    weight_grams,
    whole_number,
)
from app.shared.units import UnitSystem

INCH, METRIC = UnitSystem.INCH, UnitSystem.METRIC


@pytest.mark.parametrize(("typed", "number"), [("12", 12), (" 7 ", 7), ("+3", 3), ("1,250", 1250), ("0", 0)])
def test_a_whole_number_is_read(typed, number):
    assert whole_number(typed) == number


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "whole number, such as 12"),
        ("12.5", "“12.5” is not one"),
        ("1,25", "“1,25” is not one"),
        ("1_000", "is not one"),
        ("-1", "0 or more"),
        ("1000001", "1,000,000 or less"),
        ("9" * 40, "1,000,000 or less"),
        ("x" * 200, "…” is not one"),
    ],
)
def test_what_is_no_whole_number_is_refused_with_what_was_typed(typed, says):
    with pytest.raises(TypedError, match=says):
        whole_number(typed)


@pytest.mark.parametrize(
    ("typed", "number"), [("12.5", "12.5"), (".5", "0.5"), ("5.", "5"), ("1,250.50", "1250.50"), ("100", "100")]
)
def test_a_decimal_keeps_its_digits(typed, number):
    assert decimal_number(typed, places=4) == Decimal(number)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1,5", "two ways"),
        ("1,250", "two ways"),
        ("1.250,50", "two ways"),
        ("1e3", "“1e3” is not one"),
        ("nan", "is not one"),
        ("0.12345", "at most 4 digits"),
        ("-0.1", "0 or more"),
        ("1000000.5", "1,000,000 or less"),
    ],
)
def test_a_decimal_that_is_not_clear_is_refused(typed, says):
    with pytest.raises(TypedError, match=says):
        decimal_number(typed, places=4)


@given(st.decimals(min_value=0, max_value=1_000_000, places=4))
def test_a_plainly_written_decimal_is_read_as_itself(number):
    assert decimal_number(plain(number), places=4) == number


@pytest.mark.parametrize(
    ("typed", "ms"),
    [
        ("1:30", 90_000),
        ("0:07.5", 7_500),
        ("75:00", 4_500_000),
        ("1:05:00", 3_900_000),
        ("90", 90_000),
        ("90 s", 90_000),
        ("12.345 sec.", 12_345),
        ("1.5 min", 90_000),
        ("1.5M", 90_000),
        ("2 h", 7_200_000),
        ("0", 0),
    ],
)
def test_a_time_is_read(typed, ms):
    assert time_ms(typed) == ms


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1.5", "“1.5 min” or “1.5 s”"),
        ("0:90", "00 to 59"),
        ("1:75:00", "00 to 59"),
        ("1:5", "1:05"),
        ("soon", "is not one"),
        ("", "is not one"),
        ("-5", "is not one"),
        ("1,5 min", "is not one"),
        ("1.33333 min", "thousandth"),
        ("1001 h", "1000 hours"),
        ("9999:00:00", "1000 hours"),
    ],
)
def test_a_time_that_is_not_clear_is_refused(typed, says):
    with pytest.raises(TypedError, match=says):
        time_ms(typed)


@given(st.integers(0, LONGEST_MS))
def test_a_shown_time_is_read_as_itself(ms):
    assert time_ms(typed_ms(ms)) == ms


@pytest.mark.parametrize(("typed", "seconds"), [("45", 2700), ("7.5", 450), ("2 h", 7200), ("50 s", 50), ("0", 0)])
def test_minutes_are_read(typed, seconds):
    assert minutes_s(typed) == seconds


@pytest.mark.parametrize(
    ("typed", "says"), [("1:30", "Type minutes"), ("0.01", "finer than a second"), ("long", "is not one")]
)
def test_minutes_that_are_not_clear_are_refused(typed, says):
    with pytest.raises(TypedError, match=says):
        minutes_s(typed)


@given(st.integers(0, LONGEST_MS // 1000))
def test_shown_minutes_are_read_as_themselves(seconds):
    assert minutes_s(typed_minutes(seconds)) == seconds


@pytest.mark.parametrize(
    ("typed", "units", "grams"),
    [
        ("1", INCH, 454),
        ("1", METRIC, 1000),
        ("2.5 kg", INCH, 2500),
        ("3 lb", METRIC, 1361),
        ("250g", INCH, 250),
        ("0", INCH, 0),
    ],
)
def test_a_weight_is_read_in_the_shops_unit_or_the_one_behind_it(typed, units, grams):
    assert weight_grams(typed, units) == grams


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("0.0002", "half a gram"),
        ("1,5", "two ways"),
        ("heavy", "is not one"),
        ("-1", "0 or more"),
        ("100001 kg", "100 tonnes"),
        ("99999999", "100 tonnes"),
    ],
)
def test_a_weight_that_makes_no_sense_is_refused(typed, says):
    with pytest.raises(TypedError, match=says):
        weight_grams(typed, METRIC)


@given(st.integers(0, HEAVIEST_GRAMS), st.sampled_from(UnitSystem))
def test_a_shown_weight_is_read_as_the_same_grams(grams, units):
    assert weight_grams(typed_weight(grams, units), units) == grams


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_words(text):
    for read in (time_ms, minutes_s, whole_number, lambda typed: weight_grams(typed, METRIC)):
        try:
            assert read(text) >= 0
        except TypedError as error:
            assert str(error)  # noqa: PT017 - either outcome is right, an error without words is not
