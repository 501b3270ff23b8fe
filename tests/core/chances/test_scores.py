"""Scores of forecasts, on cases worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.chances.scores import Forecast, coverage, score, wilson

# Ten days at 0.8 of which 7 came, ten at 0.2 of which 1 came.
TWO_CHANCES = [Forecast(0.8, n < 7) for n in range(10)] + [Forecast(0.2, n < 1) for n in range(10)]


def test_the_parts_of_a_score_worked_by_hand() -> None:
    found = score(TWO_CHANCES)
    assert found.brier == pytest.approx((7 * 0.04 + 3 * 0.64 + 1 * 0.64 + 9 * 0.04) / 20)  # 0.16
    assert found.base_rate == 0.4
    assert found.reliability == pytest.approx((0.1**2 + 0.1**2) / 2)
    assert found.resolution == pytest.approx((0.3**2 + 0.3**2) / 2)
    assert found.uncertainty == pytest.approx(0.24)
    assert found.within == pytest.approx(0, abs=1e-12)
    assert found.skill == pytest.approx(1 - 0.16 / 0.24)


def test_bins_count_what_came_and_leave_out_the_empty_ones() -> None:
    found = score([*TWO_CHANCES, Forecast(1.0, True), Forecast(0.0, False), Forecast(0.99, False)])
    assert [(one.low, one.count, one.came) for one in found.bins] == [
        (0, 1, 0),
        (0.2, 10, 1),
        (0.8, 10, 7),
        (0.9, 2, 1),
    ]
    assert found.bins[-1].mean == pytest.approx(0.995)
    assert found.bins[-1].interval == wilson(1, 2)


def test_always_naming_the_base_rate_has_no_skill_and_no_reliability_lost() -> None:
    found = score([Forecast(0.25, n % 4 == 0) for n in range(40)])
    assert (found.skill, found.reliability, found.resolution) == (pytest.approx(0), pytest.approx(0), pytest.approx(0))


@given(st.lists(st.tuples(st.integers(0, 10), st.booleans()), min_size=1))
def test_where_the_chances_in_a_bin_are_equal_the_parts_add_up(pairs: list[tuple[int, bool]]) -> None:
    found = score([Forecast(tenths / 10, came) for tenths, came in pairs if tenths != 9] or [Forecast(0.5, True)])
    together = [one for one in pairs if one[0] == 10]  # 1.0 shares the last bin with 0.9, which is left out
    assert found.within == pytest.approx(0, abs=1e-9), together
    assert found.reliability >= 0 <= found.resolution


def test_the_sure_and_right_score_nothing_and_the_sure_and_wrong_all() -> None:
    assert score([Forecast(1, True), Forecast(0, False)]).brier == 0
    assert score([Forecast(0, True), Forecast(1, False)]).brier == 1


def test_dates_are_covered_by_those_that_are_finished_by_then() -> None:
    found = coverage(0.8, [(10, 9), (10, 10), (10, 11), (None, 5)])
    assert (found.count, found.by_then, found.share) == (4, 2, 0.5)
    assert found.interval == wilson(2, 4)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="no forecast"):
        score([])
    with pytest.raises(ValueError, match="between"):
        score([Forecast(1.1, True)])
    with pytest.raises(ValueError, match="no share"):
        wilson(3, 2)
    with pytest.raises(ValueError, match="no share"):
        wilson(0, 0)
