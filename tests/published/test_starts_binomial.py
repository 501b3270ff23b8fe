"""Quantities to start against handbook examples and the binomial distribution."""

from decimal import Decimal
from fractions import Fraction

import pytest
from scipy.stats import binom

from app.core.starts import chance_of_enough, pieces_to_start

CASTINGS = (Decimal("0.9"),)
FOUR_STEPS = tuple(map(Decimal, ("0.97", "0.98", "0.99", "0.995")))


def test_castings_example():
    # Tompkins et al., Facilities Planning, chapter 2: four good castings wanted, each good with 0.9
    short_with_five = 1 - chance_of_enough(5, 4, (), CASTINGS)
    assert round(float(short_with_five), 4) == 0.0815
    assert round(float(chance_of_enough(5, 4, (), CASTINGS)), 5) == 0.91854
    start = pieces_to_start(4, (), CASTINGS)
    assert (start.quantity, round(float(start.chance), 5)) == (6, 0.98415)


def test_castings_example_expected_profits():
    # the same exercise: 120 000 for an order of four, 15 000 a casting; printed 35 225 for five and 14 673 for seven
    profits = {n: 120_000 * float(chance_of_enough(n, 4, (), CASTINGS)) - 15_000 * n for n in range(4, 8)}
    assert profits == pytest.approx({4: 18_732, 5: 35_225, 6: 28_098, 7: 14_673}, abs=0.5)


@pytest.mark.parametrize(
    ("needed", "good", "start"),
    [
        (10, "0.90", 13),
        (12, "0.99", 13),
        (25, "0.95", 28),
        (50, "0.95", 56),
        (50, "0.98", 53),
        (100, "0.98", 105),
        (100, "0.95", 109),
        (100, "0.90", 117),
        (200, "0.97", 211),
        (250, "0.985", 257),
        (500, "0.99", 509),
        (100, "1.0", 100),
    ],
)
def test_smallest_start_that_is_enough_with_95_percent(needed, good, start):
    # recomputed with the binomial distribution of scipy.stats, no printed source
    assert pieces_to_start(needed, (), (Decimal(good),)).quantity == start
    assert binom.sf(needed - 1, start, float(good)) >= 0.95
    assert start == needed or binom.sf(needed - 1, start - 1, float(good)) < 0.95


def test_four_operations_in_a_row():
    # recomputed with the binomial distribution of scipy.stats, no printed source
    start = pieces_to_start(50, (), FOUR_STEPS)
    assert float(start.overall_yield) == pytest.approx(0.936389, abs=5e-7)
    assert (start.quantity, round(float(start.chance), 4)) == (57, 0.9728)


def test_the_chance_of_few_rejects():
    # a lecturer's exercise with printed answers: 12 % rejects, ten pieces, at most two rejects 0.891, two or more 0.342
    good = (Fraction(88, 100),)
    assert round(float(chance_of_enough(10, 8, (), good)), 3) == 0.891
    assert round(float(1 - chance_of_enough(10, 9, (), good)), 3) == 0.342
