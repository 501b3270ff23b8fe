"""Pieces per bar. The formula is shop arithmetic from memory: floor((bar - remnant) / (length + facing + kerf))."""

from decimal import Decimal

import pytest

from app.core.bars import BarCut, pieces_per_bar, stock_needed

INCHES = BarCut(Decimal("3.000"), Decimal("0.060"), Decimal("0.125"))


@pytest.mark.parametrize(("remnant", "pieces"), [(0, 45), (6, 43)])
def test_pieces_from_a_twelve_foot_bar(remnant, pieces):
    assert pieces_per_bar(144, remnant, INCHES) == pieces


def test_bars_for_a_hundred_pieces():
    assert stock_needed(100, pieces_per_bar(144, 6, INCHES)) == 3
