"""Tails and quantiles against scipy, over the range that readings can ask for."""

from math import inf, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from app.core.quality.distributions import (
    beta_lower,
    beta_quantile,
    chi_square_lower,
    chi_square_quantile,
    f_upper,
)
from app.core.quality.errors import Fault
from tests.core.quality.refusals import refused

CHANCES = st.floats(1e-6, 1 - 1e-6)
DEGREES = st.integers(1, 2000)


@given(st.floats(1e-9, 1 - 1e-9) | st.just(1.0), st.floats(0.5, 2000), st.floats(0.5, 2000))
def test_the_incomplete_beta_function(x, a, b):
    assert beta_lower(x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-300)


def test_the_incomplete_beta_function_next_to_one_follows_the_arcsine_law():
    """2 / pi arcsin(sqrt(x)) where both parameters are 1/2 (Feller 1968, III.4); scipy keeps eight digits here."""
    x = 1 - 2.0**-53
    assert 1 - beta_lower(x, 0.5, 0.5) == pytest.approx(2 / pi * sqrt(1 - x), rel=1e-6)


@given(st.floats(1e-9, 1e4), DEGREES)
def test_the_chi_square_distribution(x, degrees):
    assert chi_square_lower(x, degrees) == pytest.approx(stats.chi2.cdf(x, degrees), rel=1e-9, abs=1e-300)


@given(st.floats(0, 1e6), DEGREES, DEGREES)
def test_the_tail_of_an_f_ratio(ratio, above, below):
    assert f_upper(ratio, above, below) == pytest.approx(stats.f.sf(ratio, above, below), rel=1e-8, abs=1e-50)


@given(st.floats(-50, 50), DEGREES)
def test_the_square_of_a_t_value_is_an_f_ratio(t, degrees):
    assert f_upper(t * t, 1, degrees) == pytest.approx(2 * stats.t.sf(abs(t), degrees), rel=1e-8)


@given(CHANCES, DEGREES)
def test_chi_square_quantiles(chance, degrees):
    assert chi_square_quantile(chance, degrees) == pytest.approx(stats.chi2.ppf(chance, degrees), rel=1e-8)


@given(CHANCES, st.integers(1, 50), st.integers(1, 2000))
def test_beta_quantiles(chance, a, b):
    assert beta_quantile(chance, a, b) == pytest.approx(stats.beta.ppf(chance, a, b), rel=1e-8)


def test_the_ends():
    assert (beta_lower(-1, 2, 3), beta_lower(0, 2, 3), beta_lower(1, 2, 3), beta_lower(2, 2, 3)) == (0, 0, 1, 1)
    assert (f_upper(0, 2, 3), f_upper(-1, 2, 3), f_upper(inf, 2, 3)) == (1, 1, 0)
    assert (chi_square_lower(0, 3), chi_square_lower(-1, 3)) == (0, 0)


@pytest.mark.parametrize("chance", [0.0, 1.0, -0.1, 1.1])
def test_a_chance_at_its_ends_has_no_quantile(chance):
    with refused(Fault.NOT_BETWEEN, what="chance", value=chance, low=0, high=1):
        chi_square_quantile(chance, 3)
    with refused(Fault.NOT_BETWEEN, what="chance", value=chance, low=0, high=1):
        beta_quantile(chance, 1, 3)
