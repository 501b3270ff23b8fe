"""Means, sums of squares and square roots of exact numbers."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from math import isqrt

from app.core.quality.tolerances import checked

_PLACES = 30


def exact_values(readings: Iterable[Decimal]) -> tuple[Fraction, ...]:
    """Return readings as fractions.

    Raises:
        BadInputError: one is none (NOT_A_NUMBER, TOO_MANY_DIGITS).
    """
    return tuple(Fraction(checked(reading)) for reading in readings)


def mean(values: Sequence[Fraction]) -> Fraction:
    """Return the mean of at least one value."""
    return sum(values, Fraction(0)) / len(values)


def squares(values: Sequence[Fraction]) -> Fraction:
    """Return the sum of the squared distances of at least one value from their mean."""
    return sum((value * value for value in values), Fraction(0)) - sum(values, Fraction(0)) ** 2 / len(values)


def deviation(values: Sequence[Fraction]) -> Fraction:
    """Return the standard deviation of at least two values, with n - 1."""
    return root(squares(values) / (len(values) - 1))


def root(value: Fraction) -> Fraction:
    """Return the square root of a number that is zero or more, to 30 places, rounded down."""
    return Fraction(isqrt(value.numerator * 10 ** (2 * _PLACES) // value.denominator), 10**_PLACES)


def trimmed(value: Fraction) -> Fraction:
    """Return a number rounded to 30 places, so that what is computed step by step does not grow without end."""
    return Fraction(round(value * 10**_PLACES), 10**_PLACES)
