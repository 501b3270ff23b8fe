"""Quantities to start: minimal, monotone, right at the boundary, quick."""

from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from app.core.starts import LARGEST_START, StartTooLargeError, chance_of_enough, pieces_to_start, serial_start

YIELDS = st.decimals(min_value="0.5", max_value=1, places=3)
CONFIDENCES = st.decimals(min_value="0.01", max_value="0.999", places=3)


def scipy_chance(pieces, needed, good):
    return binom.sf(needed - 1, pieces, float(good))


@given(st.integers(1, 3000), YIELDS, CONFIDENCES)
def test_the_start_is_enough_and_one_fewer_is_not(needed, good, confidence):
    start = pieces_to_start(needed, (), (good,), confidence)
    assert float(start.chance) == pytest.approx(scipy_chance(start.quantity, needed, good), abs=1e-9)
    assert start.chance >= confidence
    assert start.allowance == 0 or scipy_chance(start.quantity - 1, needed, good) < float(confidence)


@given(st.integers(0, 300), st.integers(0, 600), st.lists(YIELDS, max_size=4))
def test_the_chance_of_a_given_start_agrees_with_the_binomial_distribution(needed, start, yields):
    overall = Fraction(1)
    for each in yields:
        overall *= Fraction(each)
    assert float(chance_of_enough(start, needed, (), yields)) == pytest.approx(
        scipy_chance(start, needed, overall), abs=1e-9
    )


@given(st.integers(0, 500), st.lists(YIELDS, max_size=4), CONFIDENCES)
def test_needing_one_more_or_being_surer_never_starts_fewer(needed, yields, confidence):
    quantity = pieces_to_start(needed, (), yields, confidence).quantity
    assert pieces_to_start(needed + 1, (), yields, confidence).quantity > quantity
    assert pieces_to_start(needed, (), yields, (confidence + 1) / 2).quantity >= quantity


@given(st.integers(0, 200), st.integers(1, 250), YIELDS)
def test_one_more_piece_never_lessens_the_chance(needed, start, good):
    assert chance_of_enough(start, needed, (), (good,)) >= chance_of_enough(start - 1, needed, (), (good,))


@given(st.integers(1, 200), st.lists(st.integers(0, 9), max_size=5), st.lists(YIELDS, max_size=3))
def test_set_up_losses_come_on_top(needed, losses, yields):
    plain, start = pieces_to_start(needed, (), yields), pieces_to_start(needed, losses, yields)
    assert start.setup_loss == sum(losses)
    assert start.quantity == plain.quantity + sum(losses) == needed + start.allowance + sum(losses)
    assert chance_of_enough(start.quantity, needed, losses, yields) == start.chance


def exact_chance(pieces, needed, good):
    """Return the chance of enough good pieces by adding up every outcome in fractions."""
    bad_counts = range(pieces - needed + 1)
    return sum((comb(pieces, bad) * good ** (pieces - bad) * (1 - good) ** bad for bad in bad_counts), Fraction(0))


@given(st.integers(1, 30), st.integers(0, 10), st.fractions(Fraction(1, 2), 1, max_denominator=20))
def test_a_confidence_that_is_met_exactly_is_enough_and_a_hair_more_is_not(needed, spare, good):
    exactly = exact_chance(needed + spare, needed, good)
    if not 0 < exactly < 1:
        return
    assert pieces_to_start(needed, (), (good,), exactly).quantity <= needed + spare
    hair = Fraction(1, 10**60)
    assert pieces_to_start(needed, (), (good,), min(exactly + hair, 1 - hair)).quantity == needed + spare + 1


@cache
def sequential_chance(reaching, needed, operations):
    """Return the exact chance of enough where each set-up takes its pieces from those that reach its operation."""
    if not operations:
        return Fraction(reaching >= needed)
    (loss, good), *rest = operations
    tried = reaching - loss
    total = Fraction(0)
    for passed in range(tried + 1):
        probability = comb(tried, passed) * good**passed * (1 - good) ** (tried - passed)
        total += probability * sequential_chance(passed, needed, tuple(rest))
    return total


def test_a_set_up_loss_at_the_first_operation_is_exact():
    operations = ((3, Fraction(9, 10)), (0, Fraction(19, 20)))
    exactly = sequential_chance(18, 12, operations)
    assert chance_of_enough(18, 12, (3, 0), [good for _, good in operations]) == Decimal(
        int(exactly * 10**12)
    ) / Decimal(10**12)


def test_a_set_up_loss_at_a_later_operation_is_a_shade_too_hopeful_as_documented():
    operations = ((0, Fraction(49, 50)), (1, Fraction(49, 50)), (1, Fraction(49, 50)))
    exactly = sequential_chance(26, 22, operations)
    modelled = chance_of_enough(26, 22, (0, 1, 1), [good for _, good in operations])
    assert 0 < Fraction(modelled) - exactly < Fraction(2, 100)


def test_a_start_that_set_up_and_need_exceed_has_no_chance():
    assert chance_of_enough(10, 9, (2,), ()) == 0
    assert chance_of_enough(11, 9, (2,), ()) == 1


def test_the_parts_of_the_reason_are_kept():
    start = pieces_to_start(50, (2, 0, 1), (Decimal("0.97"), Decimal("0.98")), Decimal("0.9"))
    assert (start.needed, start.setup_losses, start.setup_loss) == (50, (2, 0, 1), 3)
    assert start.yields == (Fraction(97, 100), Fraction(98, 100))
    assert (start.overall_yield, start.confidence) == (Fraction("0.9506"), Fraction(9, 10))


def test_certain_yields_and_nothing_needed_start_nothing_extra():
    assert pieces_to_start(7, (), (Decimal(1),)).quantity == 7
    assert pieces_to_start(0, (1,), (Decimal("0.5"),)).quantity == 1


def test_a_chance_is_never_shown_as_certain_unless_it_is():
    assert chance_of_enough(100, 1, (), (Decimal("0.5"),)) == Decimal("0.999999999999")


@pytest.mark.parametrize("good", ["0.5", "0.95", "0.999"])
def test_the_largest_quantities_are_right(good):
    start = pieces_to_start(100_000, (), (Decimal(good),))
    assert scipy_chance(start.quantity, 100_000, good) >= 0.95
    assert scipy_chance(start.quantity - 1, 100_000, good) < 0.95


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((-1, (), ()), "good pieces needed cannot be fewer than 0"),
        ((1, (0, -2), ()), "lost in setting up cannot be fewer than 0, but one is -2"),
        ((1, (), (Decimal(0),)), "A yield must be above 0 and at most 1"),
        ((1, (), (Decimal("1.01"),)), "but one is 1.01"),
        ((1, (), (Decimal("NaN"),)), "A yield must be a number"),
        ((1, (), (), Decimal(1)), "The confidence must be between 0 and 1"),
        ((1, (), (), Decimal(0)), "The confidence must be between 0 and 1"),
    ],
)
def test_what_is_out_of_range_is_refused(arguments, sentence):
    with pytest.raises(ValueError, match=sentence):
        pieces_to_start(*arguments)


@pytest.mark.parametrize(("needed", "good"), [(10_000, "0.001"), (990_000, "0.9901")])
def test_more_pieces_than_anybody_starts_are_refused(needed, good):
    with pytest.raises(StartTooLargeError):
        pieces_to_start(needed, (), (Decimal(good),))


def test_a_start_out_of_range_is_refused():
    with pytest.raises(ValueError, match="pieces started cannot be fewer than 0"):
        chance_of_enough(-1, 1, (), ())
    with pytest.raises(StartTooLargeError):
        chance_of_enough(LARGEST_START + 1, 1, (), ())


@given(st.integers(0, 10**6), st.lists(st.decimals(0, "0.9", places=3), max_size=5))
def test_the_serial_start_is_the_smallest_that_is_enough_on_the_average(needed, rates):
    start = serial_start(needed, rates)
    kept = Fraction(1)
    for rate in rates:
        kept *= 1 - Fraction(rate)
    assert (start - 1) * kept < needed <= start * kept


@pytest.mark.parametrize("rate", ["1", "-0.01", "Infinity"])
def test_a_scrap_rate_out_of_range_is_refused(rate):
    with pytest.raises(ValueError, match="A scrap rate must be"):
        serial_start(10, (Decimal(rate),))
