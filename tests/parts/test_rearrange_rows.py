"""Buttons of the editor add, remove and move rows of what was typed, and lose nothing of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from app.parts.forms import ButtonPressed, rearranged


def rows(*numbers: str) -> MultiDict[str, str]:
    typed = MultiDict({"note": "kept"})
    for at, number in enumerate(numbers):
        typed[f"operations-{at}-number"] = number
        typed[f"operations-{at}-title"] = f"was {number}"
    return typed


def listed(typed: MultiDict[str, str]) -> list[tuple[str, str]]:
    count = len({key.split("-")[1] for key in typed if key.startswith("operations-")})
    return [(typed.get(f"operations-{at}-number", ""), typed.get(f"operations-{at}-title", "")) for at in range(count)]


def after(button: str, row: int | None, *numbers: str) -> list[tuple[str, str]]:
    return listed(rearranged(rows(*numbers), ButtonPressed(button, row)))


def test_rows_that_change_places_leave_the_numbers_in_order():
    assert after("up", 1, "10", "20") == [("10", "was 20"), ("20", "was 10")]
    assert after("down", 0, "10", "20", "30") == [("10", "was 20"), ("20", "was 10"), ("30", "was 30")]


def test_the_first_and_the_last_row_stay():
    assert after("up", 0, "10", "20") == [("10", "was 10"), ("20", "was 20")]
    assert after("down", 1, "10", "20") == [("10", "was 10"), ("20", "was 20")]
    assert after("up", 9, "10", "20") == [("10", "was 10"), ("20", "was 20")]


def test_a_row_is_removed():
    assert after("remove", 0, "10", "20") == [("20", "was 20")]
    assert after("remove", 9, "10") == [("10", "was 10")]


@pytest.mark.parametrize(
    ("numbers", "row", "number"),
    [
        ((), None, "10"),
        (("10", "20"), None, "30"),
        (("10", "25"), None, "30"),
        (("995",), None, ""),
        (("10", "20"), 0, "15"),
        (("10", "11"), 0, ""),
        (("10", "ten"), 0, ""),
        (("ten",), None, ""),
        (("10", "20"), 1, "30"),
    ],
)
def test_a_new_row_gets_a_number_that_fits_where_there_is_one(numbers, row, number):
    found = after("add", row, *numbers)
    at = len(numbers) if row is None else row + 1
    assert len(found) == len(numbers) + 1
    assert found[at] == (number, "")


@given(
    st.lists(st.text(max_size=4), max_size=6),
    st.sampled_from(["up", "down", "remove", "add"]),
    st.one_of(st.none(), st.integers(0, 8)),
)
def test_nothing_typed_is_lost_but_the_removed_row(numbers, button, row):
    typed = rows(*numbers)
    moved = rearranged(typed, ButtonPressed(button, row))
    titles = sorted(title for _, title in listed(moved) if title)
    before = sorted(f"was {number}" for number in numbers)
    gone = button == "remove" and row is not None and row < len(numbers)
    assert len(titles) == len(before) - gone
    assert set(titles) <= set(before)
    assert moved["note"] == "kept"


@pytest.mark.parametrize(
    ("sent", "pressed"),
    [
        ({"up": "2"}, ButtonPressed("up", 2)),
        ({"add": "end"}, ButtonPressed("add", None)),
        ({"remove": "²"}, ButtonPressed("remove", None)),
        ({"note": "x"}, None),
    ],
)
def test_the_button_is_told_from_the_rest(sent, pressed):
    assert ButtonPressed.among(sent) == pressed
