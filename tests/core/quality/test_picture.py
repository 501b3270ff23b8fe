"""Chart geometry: round ticks that cover everything, points inside the frame in their order."""

import itertools
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.histogram import histogram
from app.core.quality.picture import Frame, Scale, chart_axes, histogram_bars, nice_ticks
from app.core.quality.tolerances import Limits
from tests.core.quality.refusals import refused

FRAME = Frame(left=40, top=10, width=600, height=200)
VALUES = st.fractions(-1000, 1000, max_denominator=10_000)


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        ("45.8", "55.9", ["45", "50", "55", "60"]),
        ("0.4995", "0.5005", ["0.4995", "0.5000", "0.5005"]),
        ("0", "6.13", ["0", "2", "4", "6", "8"]),
        ("5", "5", ["4.99", "5.00", "5.01"]),
        ("0", "0", ["-1", "0", "1"]),
    ],
)
def test_ticks_are_round_and_enclose_the_values(low, high, ticks):
    assert [str(tick) for tick in nice_ticks(Fraction(low), Fraction(high))] == ticks


@given(VALUES, VALUES, st.integers(3, 12))
def test_ticks_cover_evenly_without_a_tick_to_spare(first, second, most):
    low, high = sorted((first, second))
    ticks = nice_ticks(low, high, most)
    steps = {Fraction(b) - Fraction(a) for a, b in itertools.pairwise(ticks)}
    assert 2 <= len(ticks) <= most
    assert len(steps) == 1
    step = steps.pop()
    assert str(step.numerator).rstrip("0") in {"1", "2", "5"} or step.numerator == 1
    assert Fraction(ticks[0]) <= low <= Fraction(ticks[0]) + step
    assert Fraction(ticks[-1]) - step <= high <= Fraction(ticks[-1])


@given(st.lists(VALUES, min_size=1, max_size=15))
def test_points_lie_inside_the_frame_evenly_spaced_and_higher_values_higher_up(values):
    axes = chart_axes(values, len(values), FRAME)
    points = axes.line(values)
    assert all(40 <= x <= 640 and 10 <= y <= 210 for x, y in points)
    assert [x for x, _ in points] == sorted(x for x, _ in points)
    for (_, y), value in zip(points, values, strict=True):
        assert (y < points[0][1]) <= (value > values[0])
    assert axes.y.at(Decimal(axes.ticks[0])) == 210
    assert axes.y.at(Decimal(axes.ticks[-1])) == 10


def test_a_row_that_begins_later_is_drawn_further_right():
    axes = chart_axes([Fraction(0), Fraction(1)], 4, FRAME)
    assert axes.line([Fraction(0)], offset=1)[0][0] == axes.line([Fraction(0), Fraction(0)])[1][0]


def test_what_lies_beyond_a_scale_stays_at_its_end_and_is_not_shown():
    scale = Scale(Fraction(0), Fraction(10), start=100, end=0)
    assert (scale.at(Decimal(-5)), scale.at(Decimal("2.5")), scale.at(Decimal(50))) == (100, 75, 0)
    assert [scale.shows(Decimal(each)) for each in (-5, 0, 10, 11)] == [False, True, True, False]


def test_bars_stand_on_the_ground_side_by_side_and_the_highest_fills_the_frame():
    bins = histogram([Decimal(each) for each in (1, 1, 2, 5, 5, 5)], Limits(upper=Decimal(9))).bins
    bars = histogram_bars(bins, Scale(bins[0].low, bins[-1].high, 40, 640), FRAME)
    assert max(bar.height for bar in bars) == 200
    assert all(bar.y + bar.height == 210 for bar in bars)
    assert bars[0].x == 40
    assert all(left.x + left.width == right.x for left, right in itertools.pairwise(bars))
    assert [bar.height for bar in bars] == [round(Decimal(200 * each.count) / 3, 2) for each in bins]


def test_a_chart_of_nothing_is_refused():
    with refused(Fault.TOO_SMALL, what="values", value=0, least=1):
        chart_axes([], 3, FRAME)
    with refused(Fault.TOO_SMALL, what="positions", value=0, least=1):
        chart_axes([Fraction(1)], 0, FRAME)
    with refused(Fault.TOO_SMALL, what="ticks", value=2, least=3):
        nice_ticks(Fraction(0), Fraction(1), 2)
