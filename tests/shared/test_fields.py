"""What people type becomes typed values, or a message that says what was expected."""

from datetime import date
from decimal import Decimal

import pytest
import wtforms
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from app.shared.fields import (
    AmountField,
    DayField,
    LineField,
    LinesField,
    WholeNumberField,
    amount,
    one_line,
    several_lines,
    shown_amount,
)


class Everything(wtforms.Form):
    line = LineField()
    lines = LinesField()
    whole = WholeNumberField()
    price = AmountField(most_places=4)
    day = DayField()


def filled(**typed: str) -> Everything:
    form = Everything(formdata=MultiDict(typed))
    form.validate()
    return form


def test_text_is_cleaned_of_control_characters_and_stray_blanks():
    form = filled(line="  Bright\x00water \t Pumps ", lines="one  two\r\n\r\nthree\x07\n")
    assert form.line.data == "Bright water Pumps"
    assert form.lines.data == "one two\n\nthree"


@given(st.text())
def test_cleaned_text_stays_as_it_is_and_can_be_stored_in_any_database(text):
    assert one_line(one_line(text)) == one_line(text)
    assert several_lines(several_lines(text)) == several_lines(text)
    assert "\x00" not in several_lines(text)
    several_lines(text).encode()


@pytest.mark.parametrize(("typed", "number"), [("50", 50), (" 1,250 ", 1250), ("-3", -3), ("1000000", 1_000_000)])
def test_a_whole_number_is_read(app, typed, number):
    with app.test_request_context():
        assert filled(whole=typed).whole.data == number


@pytest.mark.parametrize("typed", ["", "5.5", "5_0", "fifty", "1,2", "²", "9" * 16])
def test_anything_else_is_no_whole_number_and_stays_as_typed(app, typed):
    with app.test_request_context():
        form = filled(whole=typed)
        assert form.whole.errors == ["Enter a whole number, such as 50."]
        assert form.whole.data is None
        assert f'value="{typed}"' in form.whole()


def test_an_amount_keeps_every_digit_and_refuses_more_than_its_places(app):
    with app.test_request_context():
        assert filled(price="12.3456").price.data == Decimal("12.3456")
        assert filled(price="12.34567").price.errors == ["Enter at most 4 decimal places."]


@pytest.mark.parametrize("typed", ["", "NaN", "Infinity", "1e999999", "1_0", "12,50", "x" * 50])
def test_anything_else_is_no_amount(app, typed):
    with app.test_request_context(), pytest.raises(ValueError, match=r"Enter a number, such as 12\.50\."):
        amount(typed, 4)


@given(st.decimals(min_value=0, max_value=10**9, places=4))
def test_a_shown_amount_says_the_same_number_with_two_places_or_more(number):
    shown = shown_amount(number)
    assert Decimal(shown) == number
    assert len(shown.partition(".")[2]) >= 2


def test_a_day_is_read_and_nonsense_refused_with_what_was_expected(app):
    with app.test_request_context():
        assert filled(day="2026-02-06").day.data == date(2026, 2, 6)
        assert filled(day="06/02/2026").day.errors == ["Enter a date as year-month-day, such as 2026-02-06."]
        assert filled(day="0026-02-06").day.errors == ["Enter a date between 1970 and 2199."]
