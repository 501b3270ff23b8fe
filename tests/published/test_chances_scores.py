"""Wilson's interval against the table of a paper and against scipy."""

import pytest
from scipy.stats import binomtest

from app.core.chances.scores import wilson

# R. G. Newcombe, Two-sided confidence intervals for the single proportion: comparison of seven methods, Statistics in
# Medicine 17 (1998) 857-872, table I, method 3 (score, without correction); from memory.
NEWCOMBE = {(81, 263): (0.2553, 0.3662), (15, 148): (0.0624, 0.1605), (0, 20): (0.0, 0.1611), (1, 29): (0.0061, 0.1718)}


@pytest.mark.parametrize(("hits", "count"), NEWCOMBE)
def test_the_published_intervals_come_out(hits: int, count: int) -> None:
    assert wilson(hits, count) == pytest.approx(NEWCOMBE[hits, count], abs=0.00005)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_scipy_gives_the_same(confidence: float) -> None:
    for hits in range(0, 31, 3):
        other = binomtest(hits, 30).proportion_ci(confidence, method="wilson")
        assert wilson(hits, 30, confidence) == pytest.approx((other.low, other.high), abs=1e-12)
