"""The tabled constants, integrated anew another way."""

from math import gamma, inf, pi, sqrt

import numpy as np
import pytest
from scipy import integrate, special, stats

from app.core.quality.chart_constants import chart_constants, range_mean_of_few
from app.core.quality.errors import Fault
from tests.core.quality.refusals import refused

SIZES = range(2, 26)


@pytest.mark.parametrize("size", SIZES)
def test_the_mean_range_is_the_integral_of_its_tail(size):
    tail = integrate.quad(lambda x: 1 - special.ndtr(x) ** size - special.ndtr(-x) ** size, 0, inf, epsabs=1e-12)
    assert chart_constants(size).d2 == pytest.approx(2 * tail[0], abs=1e-10)


@pytest.mark.parametrize("size", SIZES)
def test_the_deviation_of_the_range_follows_from_its_density(size):
    # second moment of the range: its square over the joint density of the least and the largest of n
    least, width = np.meshgrid(np.linspace(-12, 9, 1401), np.linspace(0, 14, 1401), indexing="ij")
    between = special.ndtr(least + width) - special.ndtr(least)
    density = size * (size - 1) * stats.norm.pdf(least) * stats.norm.pdf(least + width) * between ** (size - 2)
    second = integrate.simpson(integrate.simpson(density * width**2, x=width[0], axis=1), x=least[:, 0])
    constants = chart_constants(size)
    assert sqrt(second - constants.d2**2) == pytest.approx(constants.d3, abs=1e-7)


@pytest.mark.parametrize("size", SIZES)
def test_the_mean_deviation_is_the_chi_mean(size):
    constants = chart_constants(size)
    assert constants.c4 == pytest.approx(stats.chi.mean(size - 1) / sqrt(size - 1), abs=1e-12)


def test_small_samples_have_closed_forms():
    assert chart_constants(2).d2 == pytest.approx(2 / sqrt(pi), abs=1e-12)
    assert chart_constants(2).d3 == pytest.approx(sqrt(2 - 4 / pi), abs=1e-12)
    assert chart_constants(3).d2 == pytest.approx(3 / sqrt(pi), abs=1e-12)
    assert chart_constants(3).c4 == pytest.approx(gamma(1.5), abs=1e-12)


def test_the_average_of_many_ranges_is_divided_by_the_usual_constant():
    assert range_mean_of_few(5, 10**6) == pytest.approx(chart_constants(5).d2, abs=1e-6)
    assert range_mean_of_few(2, 1) == pytest.approx(sqrt(2), abs=1e-12)


def test_sizes_without_constants_are_refused():
    with refused(Fault.TOO_SMALL, what="subgroup", value=1, least=2):
        chart_constants(1)
    with refused(Fault.TOO_LARGE, what="subgroup", value=26, most=25):
        chart_constants(26)
    with refused(Fault.TOO_SMALL, what="groups", value=0, least=1):
        range_mean_of_few(2, 0)
