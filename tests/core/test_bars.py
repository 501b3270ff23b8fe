"""Pieces per bar, bars and plates."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.bars import BarCut, pieces_per_bar, stock_needed

LENGTHS = st.decimals("0.001", 10_000, places=3)
EXTRAS = st.decimals(0, 100, places=3)


@given(LENGTHS, EXTRAS, LENGTHS, EXTRAS, EXTRAS)
def test_the_pieces_fit_and_one_more_would_not(bar, remnant, length, facing, kerf):
    pieces = pieces_per_bar(bar, remnant, BarCut(length, facing, kerf))
    each = length + facing + kerf
    assert pieces == 0 or pieces * each <= bar - remnant
    assert (pieces + 1) * each > bar - remnant


def test_a_bar_that_divides_exactly_loses_no_piece():
    assert pieces_per_bar(Decimal("0.3"), 0, BarCut(Decimal("0.1"), 0, 0)) == 3


def test_a_remnant_longer_than_the_bar_leaves_no_piece():
    assert pieces_per_bar(10, 12, BarCut(1, 0, 0)) == 0


@given(st.integers(0, 10**6), st.integers(1, 10**4))
def test_the_stock_is_enough_and_one_fewer_is_not(pieces, each):
    needed = stock_needed(pieces, each)
    assert (needed - 1) * each < pieces <= needed * each


@pytest.mark.parametrize(
    ("bar", "remnant", "cut", "sentence"),
    [
        (0, 0, BarCut(1, 0, 0), "The bar length must be above 0"),
        (1, -1, BarCut(1, 0, 0), "The remnant must be 0 or more"),
        (1, 0, BarCut(0, 1, 1), "The piece length must be above 0"),
        (1, 0, BarCut(1, -1, 0), "The facing allowance must be 0 or more"),
        (1, 0, BarCut(1, 0, Decimal("NaN")), "The kerf must be a number"),
    ],
)
def test_a_length_out_of_range_is_refused(bar, remnant, cut, sentence):
    with pytest.raises(ValueError, match=sentence):
        pieces_per_bar(bar, remnant, cut)


def test_stock_that_gives_no_piece_and_negative_pieces_are_refused():
    with pytest.raises(ValueError, match="The piece does not fit"):
        stock_needed(5, 0)
    with pytest.raises(ValueError, match="must be 0 or more, not -1"):
        stock_needed(-1, 4)
