"""Tails and quantiles of the chi-square, F and beta distributions, from the incomplete gamma and beta functions.

Written out because the program needs no statistics package when it runs; the tests hold it against one. Good to ten
digits or more for parameters up to some thousands, which is finer than any conclusion drawn from readings.
"""

from collections.abc import Callable, Iterator
from math import exp, inf, lgamma, log, log1p

from app.core.quality.errors import Figure, inside

_TINY = 1e-300
_CLOSE = 4e-16
_MOST_TERMS = 100_000


def beta_lower(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b), ``a`` and ``b`` above zero.

    Source: DLMF 8.17.22, the continued fraction, used on the side where it converges fast.
    """
    return _beta(min(max(x, 0.0), 1.0), min(max(1 - x, 0.0), 1.0), a, b)


def f_upper(ratio: float, above: float, below: float) -> float:
    """Return how likely an F ratio is at least ``ratio``, with ``above`` and ``below`` degrees of freedom.

    P(F >= f) = I_x(below / 2, above / 2) with x = below / (below + above * f). The square of a t value with n degrees
    of freedom is such a ratio with 1 and n, both sides together. Source: DLMF 8.17 with the definition of F.
    """
    if ratio == inf:
        return 0.0
    weighted = above * max(ratio, 0.0)
    return _beta(below / (below + weighted), weighted / (below + weighted), below / 2, above / 2)


def chi_square_lower(x: float, degrees: float) -> float:
    """Return how likely a chi-square value is at most ``x``: P(degrees / 2, x / 2).

    Source: DLMF 8.7.1 (series) below the mean, 8.9.2 (continued fraction) above it.
    """
    a, half = degrees / 2, x / 2
    if half <= 0:
        return 0.0
    front = exp(a * log(half) - half - lgamma(a))
    if half < a + 1:
        return front * _gamma_series(half, a)
    return 1 - front / _continued(_gamma_steps(half, a))


def chi_square_quantile(chance: float, degrees: float) -> float:
    """Return the value that a chi-square value stays below with this chance.

    Raises:
        BadInputError: NOT_BETWEEN.
    """
    inside(Figure.CHANCE, chance, 0, 1)
    high = degrees + 1
    while chi_square_lower(high, degrees) < chance:
        high *= 2
    return _solve(lambda x: chi_square_lower(x, degrees), chance, high)


def beta_quantile(chance: float, a: float, b: float) -> float:
    """Return the share that a beta variable stays below with this chance.

    Raises:
        BadInputError: NOT_BETWEEN.
    """
    inside(Figure.CHANCE, chance, 0, 1)
    return _solve(lambda x: beta_lower(x, a, b), chance, 1.0)


def _beta(x: float, rest: float, a: float, b: float) -> float:
    """Return I_x(a, b); ``rest`` is 1 - x, given apart because close to 1 it cannot be had from ``x``."""
    if x == 0 or rest == 0:
        return float(rest == 0)
    logs = a * _log(x, rest) + b * _log(rest, x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + logs)
    if x < (a + 1) / (a + b + 2):
        return front / a / _continued(_beta_steps(x, a, b))
    return 1 - front / b / _continued(_beta_steps(rest, b, a))


def _log(x: float, rest: float) -> float:
    return log(x) if x <= 0.5 else log1p(-rest)


def _solve(rising: Callable[[float], float], wanted: float, high: float) -> float:
    """Halve ``[0, high]`` until its ends are neighbouring floats."""
    low, middle = 0.0, high / 2
    while low < middle < high:
        low, high = (middle, high) if rising(middle) < wanted else (low, middle)
        middle = (low + high) / 2
    return high


def _continued(steps: Iterator[tuple[float, float]]) -> float:
    """Return b0 + a1 / (b1 + a2 / (b2 + ...)) for ``steps`` (1, b0), (a1, b1), ...; modified Lentz's method.

    Source: Thompson and Barnett 1986.
    """
    _, first = next(steps)
    value = c = first or _TINY
    d = 0.0
    for _, (above, below) in zip(range(_MOST_TERMS), steps, strict=False):
        d = 1 / ((below + above * d) or _TINY)
        c = (below + above / c) or _TINY
        value *= c * d
        if abs(c * d - 1) < _CLOSE:
            break
    return value


def _beta_steps(x: float, a: float, b: float) -> Iterator[tuple[float, float]]:
    yield 1.0, 1.0
    yield -(a + b) * x / (a + 1), 1.0
    m = 1
    while True:
        yield m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)), 1.0
        yield -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)), 1.0
        m += 1


def _gamma_steps(x: float, a: float) -> Iterator[tuple[float, float]]:
    yield 1.0, x + 1 - a
    n = 1
    while True:
        yield -n * (n - a), x + 2 * n + 1 - a
        n += 1


def _gamma_series(x: float, a: float) -> float:
    term = total = 1 / a
    n = 1
    while term > total * _CLOSE:
        term *= x / (a + n)
        total += term
        n += 1
    return total
