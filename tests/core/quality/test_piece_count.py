"""Pieces made by now: what was counted plus what the time since then is enough for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.piece_count import PieceCount, pieces_by_now
from tests.core.quality.refusals import refused


def test_a_fresh_count_is_no_guess_and_a_cycle_later_it_is():
    assert pieces_by_now(12, 89_999, 90_000, most=50) == PieceCount(12, estimated=False)
    assert pieces_by_now(12, 90_000, 90_000, most=50) == PieceCount(13, estimated=True)


def test_a_cycle_may_make_several_and_never_more_than_there_are():
    assert pieces_by_now(12, 200_000, 90_000, most=50, load=8) == PieceCount(28, estimated=True)
    assert pieces_by_now(12, 10**9, 90_000, most=50, load=8) == PieceCount(50, estimated=True)


def test_what_was_counted_stands_even_above_what_was_expected():
    assert pieces_by_now(53, 10**9, 90_000, most=50) == PieceCount(53, estimated=False)


@given(st.integers(0, 100), st.integers(0, 10**8), st.integers(0, 10**7), st.integers(1, 10**6), st.integers(1, 20))
def test_the_guess_never_falls_as_time_goes_by(counted, elapsed, more, cycle, load):
    now = pieces_by_now(counted, elapsed, cycle, 100, load)
    later = pieces_by_now(counted, elapsed + more, cycle, 100, load)
    assert counted <= now.pieces <= later.pieces <= max(counted, 100)


@pytest.mark.parametrize(
    ("arguments", "what", "value", "least"),
    [((-1, 0, 1, 9), "counted", -1, 0), ((0, -1, 1, 9), "elapsed", -1, 0), ((0, 0, 0, 9), "cycle", 0, 1)],
)
def test_what_is_out_of_range_is_refused(arguments, what, value, least):
    with refused(Fault.TOO_SMALL, what=what, value=value, least=least):
        pieces_by_now(*arguments)
    with refused(Fault.TOO_SMALL, what="load", value=0, least=1):
        pieces_by_now(0, 0, 1, 9, load=0)
