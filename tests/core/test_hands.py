"""When an open job wants hands: the next load or bar, and the end."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.hands import Hands, time_to_hands
from app.core.planning.takings import run_seconds
from app.core.shop import BarFed, Batch, PalletLoad, SinglePiece, Station

ALWAYS = WorkCalendar(OpenHours("UTC"))
ONE, TWO = (Station("mill", "mills", ALWAYS, pallets=pallets) for pallets in (1, 2))
FOUR_UP = PalletLoad(4, cycle_ms=600_000, load_ms=60_000)
BARS = BarFed(20, cycle_ms=30_000, bar_change_ms=60_000)


@pytest.mark.parametrize(
    ("taking", "pieces", "worked", "expected"),
    [
        (SinglePiece(60_000), 10, 0, Hands(None, 600)),
        (SinglePiece(60_000), 10, 90, Hands(None, 510)),
        (SinglePiece(60_000), 10, 900, Hands(None, 0)),  # behind its time
        (FOUR_UP, 10, 0, Hands(660, 1980)),  # three loads of a minute and ten
        (FOUR_UP, 10, 700, Hands(620, 1280)),
        (FOUR_UP, 10, 1400, Hands(None, 580)),  # the last load is on
        (FOUR_UP, 4, 0, Hands(None, 660)),
        (BARS, 50, 0, Hands(660, 1680)),  # a change, twenty pieces; then a bar is at its end
        (BARS, 50, 660, Hands(660, 1020)),
        (Batch("bowl", 7_200_000, 400), 300, 1800, Hands(None, 5400)),
    ],
)
def test_load_and_end_by_hand(taking, pieces, worked, expected):
    assert time_to_hands(taking, ONE, pieces, worked) == expected


def test_with_two_pallets_the_load_is_changed_when_the_next_one_is_cut():
    """Load 1 is cut from 1 min on; it comes out when load 2 goes in, 10 min later."""
    assert time_to_hands(FOUR_UP, TWO, 12, 0).next_load_s == 660


@given(
    taking=st.sampled_from([SinglePiece(45_000), FOUR_UP, BARS]),
    pieces=st.integers(1, 200),
    worked=st.integers(0, 40_000),
    pallets=st.sampled_from([ONE, TWO]),
)
def test_a_load_comes_before_the_end_and_time_that_passes_brings_both_nearer(taking, pieces, worked, pallets):
    found = time_to_hands(taking, pallets, pieces, worked)
    assert found.end_s == max(0, run_seconds(taking, pallets, pieces) - worked)
    if found.next_load_s is not None:
        assert 0 < found.next_load_s <= found.end_s
        if found.next_load_s > 1:
            later = time_to_hands(taking, pallets, pieces, worked + 1)
            assert later.next_load_s == found.next_load_s - 1
