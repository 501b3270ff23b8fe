"""Readings in bins of equal width, and how many of them lie below, within and above the limits."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import isqrt

from app.core.quality.errors import BadInputError, Fault, Figure
from app.core.quality.exact_sums import exact_values
from app.core.quality.tolerances import Limits, Standing, decimal_places

LEAST_ROOM, MOST_BINS = 5, 20
_STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Bin:
    """Readings in ``[low, high)``; no reading lies on an edge."""

    low: Fraction
    high: Fraction
    count: int


@dataclass(frozen=True, slots=True)
class Histogram:
    """Bins without a gap from the lowest reading to the highest, and exact counts against the limits."""

    bins: tuple[Bin, ...]
    below: int
    within: int
    above: int


def histogram(readings: Sequence[Decimal], limits: Limits) -> Histogram:
    """Return the readings in bins: about the square root of their number, half as many more at most, never above 20.

    A bin is 1, 2 or 5 times a power of ten of last places wide, so that each holds the same number of possible
    readings, and its edges lie half a last place beside them, so that no reading is on an edge (Ishikawa, Guide to
    Quality Control; from memory).

    Raises:
        BadInputError: TOO_FEW where there is none, NOT_A_NUMBER, TOO_MANY_DIGITS.
    """
    if not readings:
        raise BadInputError(Fault.TOO_FEW, what=Figure.READINGS, count=0, least=1)
    exact_values(readings)
    places = max(decimal_places(reading) for reading in readings)
    units = [int(Fraction(reading) * 10**places) for reading in readings]
    width = _nice_width(max(units) - min(units) + 1, _most_bins(len(units)))
    counts = Counter(unit // width for unit in units)
    standings = Counter(limits.standing(reading) for reading in readings)
    return Histogram(
        tuple(_bin(index, width, places, counts[index]) for index in range(min(counts), max(counts) + 1)),
        below=standings[Standing.BELOW],
        within=standings[Standing.GOOD],
        above=standings[Standing.ABOVE],
    )


def _most_bins(count: int) -> int:
    return min(max(isqrt(count) * 3 // 2, LEAST_ROOM), MOST_BINS)


def _nice_width(span: int, bins: int) -> int:
    """Return the smallest 1, 2 or 5 times a power of ten with which so many bins reach over the span."""
    power = 1
    while True:
        for step in _STEPS:
            if step * power * bins >= span:
                return step * power
        power *= 10


def _bin(index: int, width: int, places: int, count: int) -> Bin:
    low, high = (Fraction(2 * edge * width - 1, 2 * 10**places) for edge in (index, index + 1))
    return Bin(low, high, count)
