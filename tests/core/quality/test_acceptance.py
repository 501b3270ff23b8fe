"""Chances to pass and zero-acceptance sizes: exact, monotone, smallest."""

from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom

from app.core.quality.acceptance import (
    chance_to_pass,
    chance_to_pass_lot,
    share_that_passes,
    zero_acceptance_size,
)
from app.core.quality.errors import Fault
from tests.core.quality.refusals import refused

SHARES = st.decimals("0.001", "0.999", places=3)


@given(st.integers(1, 300), st.integers(0, 30), st.decimals(0, 1, places=3))
def test_the_chance_to_pass_is_the_binomial_one(size, accept, share):
    assert float(chance_to_pass(size, accept, share)) == pytest.approx(
        binom.cdf(accept, size, float(share)), rel=1e-9, abs=1e-12
    )


@given(st.integers(1, 200), st.integers(0, 5), st.data())
def test_the_chance_of_a_lot_is_the_hypergeometric_one(lot, accept, data):
    bad, size = data.draw(st.integers(0, lot)), data.draw(st.integers(1, lot))
    assert float(chance_to_pass_lot(lot, bad, size, accept)) == pytest.approx(
        hypergeom.cdf(accept, lot, bad, size), rel=1e-8, abs=1e-12
    )


def test_the_chance_of_a_small_lot_counts_every_sample():
    lot, samples = [True, True, False, False, False, False, False], list(combinations(range(7), 3))
    passing = sum(sum(lot[piece] for piece in sample) <= 1 for sample in samples)
    assert chance_to_pass_lot(7, 2, 3, 1) == Fraction(passing, len(samples))


@given(st.integers(2, 500), st.integers(0, 20), st.decimals("0.01", "0.99", places=2))
def test_a_point_of_the_curve_lies_on_it(size, accept, chance):
    accept = min(accept, size - 1)
    share = Decimal(share_that_passes(size, accept, chance))
    assert float(chance_to_pass(size, accept, share)) == pytest.approx(float(chance), rel=1e-9)


@given(st.integers(1, 3000), SHARES, SHARES)
def test_the_zero_acceptance_size_is_the_smallest_that_misses_rarely_enough(lot, share, confidence):
    size = zero_acceptance_size(lot, share, confidence)
    bad = ceil(share * lot)
    assert 1 <= size <= lot
    assert chance_to_pass_lot(lot, bad, size, 0) <= 1 - Fraction(confidence)
    assert size == 1 or chance_to_pass_lot(lot, bad, size - 1, 0) > 1 - Fraction(confidence)


@given(st.integers(1, 2000), SHARES, SHARES)
def test_being_surer_or_stricter_never_takes_fewer_pieces(lot, share, confidence):
    size = zero_acceptance_size(lot, share, confidence)
    assert zero_acceptance_size(lot, share, (confidence + 1) / 2) >= size
    assert zero_acceptance_size(lot, share / 2, confidence) >= size


def test_a_single_bad_piece_is_only_found_by_nearly_the_whole_lot():
    assert zero_acceptance_size(100, Decimal("0.01"), Decimal("0.95")) == 95
    assert zero_acceptance_size(1, Decimal("0.01")) == 1


@pytest.mark.parametrize(("share", "most"), [("0.5", 5), ("0.01", 300), ("0.0001", 30_000)])
def test_the_largest_lot_takes_no_longer_than_its_answer_deserves(share, most):
    assert 1 <= zero_acceptance_size(1_000_000, Decimal(share)) <= most


@pytest.mark.parametrize("value", ["0", "1", "-0.1", "1.5"])
def test_a_share_or_confidence_at_its_ends_is_refused(value):
    with refused(Fault.NOT_BETWEEN, what="share", value=Decimal(value), low=0, high=1):
        zero_acceptance_size(10, Decimal(value))
    with refused(Fault.NOT_BETWEEN, what="confidence", value=Decimal(value), low=0, high=1):
        zero_acceptance_size(10, Decimal("0.1"), Decimal(value))


def test_lots_samples_and_numbers_out_of_range_are_refused():
    with refused(Fault.TOO_SMALL, what="lot", value=0, least=1):
        zero_acceptance_size(0, Decimal("0.1"))
    with refused(Fault.TOO_LARGE, what="lot", value=1_000_001, most=1_000_000):
        zero_acceptance_size(1_000_001, Decimal("0.1"))
    with refused(Fault.TOO_LARGE, what="sample", value=11, most=10):
        chance_to_pass_lot(10, 1, 11, 0)
    with refused(Fault.TOO_LARGE, what="bad", value=11, most=10):
        chance_to_pass_lot(10, 11, 1, 0)
    with refused(Fault.TOO_SMALL, what="sample", value=0, least=1):
        chance_to_pass(0, 0, Decimal("0.1"))
    with refused(Fault.TOO_SMALL, what="accept", value=-1, least=0):
        chance_to_pass(5, -1, Decimal("0.1"))
    with refused(Fault.NOT_BETWEEN, what="bad share", value=Decimal("1.1"), low=0, high=1):
        chance_to_pass(5, 0, Decimal("1.1"))
    with refused(Fault.TOO_LARGE, what="accept", value=5, most=4):
        share_that_passes(5, 5, Decimal("0.5"))
    with refused(Fault.NOT_BETWEEN, what="chance", value=0.0, low=0, high=1):
        share_that_passes(5, 0, Decimal(1))
