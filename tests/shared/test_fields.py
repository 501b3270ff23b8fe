"""What people type becomes typed values, or a message that says what was expected."""

from datetime import date
from decimal import Decimal

import pytest
import wtforms
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from app.shared.fields import AmountField, DayField, LineField, LinesField, WholeNumberField, one_line, several_lines


class Everything(wtforms.Form):
    line = LineField()
    lines = LinesField()
    whole = WholeNumberField(least=1, most=1_000_000)
    price = AmountField(digits=4)
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


@pytest.mark.parametrize(("typed", "number"), [("50", 50), (" 1,250 ", 1250), ("1000000", 1_000_000)])
def test_a_whole_number_is_read(typed, number):
    assert filled(whole=typed).whole.data == number


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("fifty", "Type a whole number, such as 12; “fifty” is not one."),
        ("5_0", "Type a whole number, such as 12; “5_0” is not one."),
        ("0", "It must be 1 or more."),
        ("1000001", "It must be 1,000,000 or less."),
    ],
)
def test_anything_else_is_refused_and_stays_as_typed(app, typed, told):
    with app.test_request_context():
        form = filled(whole=typed)
        assert form.whole.errors == [told]
        assert form.whole.data is None
        assert f'value="{typed}"' in form.whole()


def test_an_amount_keeps_every_digit_and_refuses_more_than_its_places(app):
    with app.test_request_context():
        assert filled(price="12.3450").price.data == Decimal("12.345")
        assert filled(price="12.34567").price.errors == ["Type at most 4 digits after the point."]
        assert 'value="12.5"' in Everything(data={"price": Decimal("12.5000")}).price()


def test_a_day_is_read_and_nonsense_refused_with_what_was_expected(app):
    with app.test_request_context():
        assert filled(day="2026-02-06").day.data == date(2026, 2, 6)
        assert filled(day="06/02/2026").day.errors == ["Enter a date as year-month-day, such as 2026-02-06."]
        assert filled(day="0026-02-06").day.errors == ["Enter a date between 1970 and 2199."]
