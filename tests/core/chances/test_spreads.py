"""How much times differ from their plan: stated, seen, or a little of both."""

from math import exp

import pytest

from app.core.chances.spreads import ENOUGH, FIXED, STATED_WORK, Spread, exponential, learned, lognormal, spread_of


def test_a_stated_spread_has_the_mean_one_and_nearly_the_variance_of_a_lognormal() -> None:
    spread = lognormal(0.35)
    assert spread.mean == pytest.approx(1, abs=1e-5)
    assert spread.mean_square == pytest.approx(exp(0.35**2), rel=0.003)


def test_an_exponential_spread_has_the_mean_one_and_nearly_the_second_moment_two() -> None:
    assert exponential().mean == pytest.approx(1, abs=1e-5)
    assert exponential().mean_square == pytest.approx(2, rel=0.001)


def test_enough_history_is_the_spread() -> None:
    seen = [0.9, 1.1] * ENOUGH
    assert learned(seen, STATED_WORK) == spread_of(seen)
    assert learned(seen, STATED_WORK).mean == pytest.approx(1)


def test_a_little_history_moves_the_mean_of_the_usual_spread() -> None:
    usual = Spread((32_768, 98_304))  # a half and one and a half
    assert learned([2.0] * 5, usual).mean == pytest.approx((5 * 1 + 10) / 10)
    assert learned([], usual) == usual
    assert learned([2.0], FIXED).factors == (round(65_536 * 7 / 6),)


def test_a_sign_off_that_was_forgotten_for_a_week_teaches_nothing() -> None:
    assert spread_of([1.0, 10.0, 400.0]).mean == pytest.approx(5.5)
    assert learned([400.0] * 30, STATED_WORK) is STATED_WORK
    assert learned([1.2, 400.0], STATED_WORK).mean == pytest.approx(learned([1.2], STATED_WORK).mean)


def test_factors_that_do_not_ascend_are_refused() -> None:
    with pytest.raises(ValueError, match="ascend"):
        Spread((2, 1))
    with pytest.raises(ValueError, match="ascend"):
        Spread((-1, 1))
