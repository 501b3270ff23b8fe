"""Drift: significance, the piece at which the line leaves the limits, refusals."""

from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import linregress

from app.core.quality.drift import find_drift, fit_line
from app.core.quality.errors import Fault
from app.core.quality.tolerances import Limits, Standing
from tests.core.quality.refusals import refused

LIMITS = Limits(Decimal("9.90"), Decimal("10.10"), Decimal("10.00"))
WEAR = [(piece, Decimal(10) + Decimal(piece) / 1000 + Decimal(piece % 3) / 1000) for piece in range(1, 52, 5)]
POINTS = st.lists(st.tuples(st.integers(1, 500), st.decimals("-50", "50", places=3)), min_size=5, max_size=40)


def test_wear_towards_a_limit_is_told_with_the_piece_that_crosses():
    drift = find_drift(WEAR, LIMITS)
    assert drift.significant
    assert drift.crosses_at > 51
    assert drift.line.at(drift.crosses_at - 1) <= Fraction(LIMITS.upper) < drift.line.at(drift.crosses_at)


def test_single_pieces_stray_before_the_line_crosses():
    drift = find_drift(WEAR, LIMITS)
    reach = 3 * drift.line.residual
    assert 1 < drift.strays_from < drift.crosses_at
    before, there = (drift.line.at(piece) + reach for piece in (drift.strays_from - 1, drift.strays_from))
    assert before <= Fraction(LIMITS.upper) < there


def test_wear_downwards_goes_to_the_lower_limit():
    down = find_drift([(piece, 20 - value) for piece, value in WEAR], LIMITS)
    up = find_drift(WEAR, LIMITS)
    assert (down.crosses_at, down.strays_from) == (up.crosses_at, up.strays_from)


def test_a_perfect_line_is_certain_and_crosses_behind_the_limit_not_on_it():
    line = [(piece, Decimal(piece)) for piece in range(1, 6)]
    drift = find_drift(line, Limits(upper=Decimal(8)))
    assert (drift.line.chance, drift.line.slope, drift.line.residual) == (0, 1, 0)
    assert drift.crosses_at == drift.strays_from == 9


def test_towards_an_open_side_nothing_is_crossed():
    assert find_drift(WEAR, Limits(lower=Decimal(5))) == find_drift(WEAR, Limits(lower=Decimal(6)))
    assert find_drift(WEAR, Limits(lower=Decimal(5))).crosses_at is None
    assert find_drift(WEAR, Limits(lower=Decimal(5))).significant


def test_equal_readings_do_not_drift():
    drift = find_drift([(piece, Decimal("10.0")) for piece in range(1, 9)], LIMITS)
    assert (drift.significant, drift.crosses_at, drift.line.chance) == (False, None, 1)


def test_a_line_that_left_the_limits_long_ago_says_the_first_piece():
    out = [(piece, Decimal(11) + Decimal(piece) / 100) for piece in range(1, 9)]
    assert find_drift(out, LIMITS).crosses_at == 1


def test_steady_processes_are_rarely_taken_for_drifting_ones():
    random, runs, significance = Random(5), 2000, Decimal("0.05")
    limits = Limits(upper=Decimal(99))
    found = sum(
        find_drift([(n, Decimal(f"{random.gauss(0, 1):.6f}")) for n in range(1, 9)], limits, significance).significant
        for _ in range(runs)
    )
    # binomial: 0.05 of 2000 within four standard errors
    assert abs(found / runs - 0.05) < 4 * (0.05 * 0.95 / runs) ** 0.5


@given(POINTS)
def test_the_line_is_the_one_of_least_squares(points):
    x, y = zip(*points, strict=True)
    assume(len(set(x)) > 1)
    assume(len(set(y)) > 1)
    line, other = (
        fit_line([Fraction(each) for each in x], [Fraction(each) for each in y]),
        linregress(x, list(map(float, y))),
    )
    assert float(line.slope) == pytest.approx(other.slope, rel=1e-6, abs=1e-9)
    assert float(line.intercept) == pytest.approx(other.intercept, rel=1e-6, abs=1e-6)
    assert float(line.slope_error) == pytest.approx(other.stderr, rel=1e-4, abs=1e-6)
    assert line.chance == pytest.approx(other.pvalue, rel=1e-3, abs=1e-6)


@given(POINTS)
def test_up_to_the_crossing_the_line_is_within_and_from_it_on_beyond(points):
    assume(len({piece for piece, _ in points}) > 1)
    limits = Limits(Decimal(-60), Decimal(60))
    drift = find_drift(points, limits, Decimal("0.5"))
    if drift.crosses_at is not None and drift.crosses_at > 1:
        before, at = (Decimal(float(drift.line.at(piece))) for piece in (drift.crosses_at - 1, drift.crosses_at))
        beyond = Standing.ABOVE if drift.line.slope > 0 else Standing.BELOW
        assert limits.standing(at.quantize(Decimal("1e-9"))) is beyond or abs(abs(at) - 60) < Decimal("1e-8")
        assert abs(before) <= Decimal("60.00000001")


def test_too_few_or_useless_readings_are_refused():
    with refused(Fault.TOO_FEW, what="readings", count=4, least=5):
        find_drift(WEAR[:4], LIMITS)
    with refused(Fault.TOO_FEW, what="readings", count=0, least=5):
        find_drift([], LIMITS)
    with refused(Fault.ONE_PIECE):
        find_drift([(3, Decimal(each)) for each in range(6)], LIMITS)
    with refused(Fault.TOO_SMALL, what="least", value=2, least=3):
        find_drift(WEAR, LIMITS, least=2)
    with refused(Fault.NOT_BETWEEN, what="significance", value=Decimal(0), low=0, high=1):
        find_drift(WEAR, LIMITS, Decimal(0))
