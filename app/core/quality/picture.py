"""The geometry of a chart: where points, lines, ticks and bars go. What they look like is the page's business."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.core.measures import rounded
from app.core.quality.errors import Figure, at_least
from app.core.quality.histogram import Bin

_STEPS = (1, 2, 5)
_PLACES = 2


@dataclass(frozen=True, slots=True)
class Frame:
    """The rectangle that is drawn in, in the picture's units; y grows downwards."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale: ``low`` lies at ``start``, ``high``, which is above it, at ``end``."""

    low: Fraction
    high: Fraction
    start: int
    end: int

    def at(self, value: Fraction | Decimal) -> Decimal:
        """Return where a value lies, to two places, kept within the scale."""
        share = (Fraction(value) - self.low) / (self.high - self.low)
        return rounded(self.start + min(max(share, Fraction(0)), Fraction(1)) * (self.end - self.start), _PLACES)

    def shows(self, value: Fraction | Decimal) -> bool:
        """Tell whether a value lies on the scale, ends included."""
        return self.low <= Fraction(value) <= self.high


@dataclass(frozen=True, slots=True)
class Axes:
    """The scales of a chart, and the values that its upright one is ticked at."""

    x: Scale
    y: Scale
    ticks: tuple[Decimal, ...]

    def line(self, values: Sequence[Fraction], offset: int = 0) -> tuple[tuple[Decimal, Decimal], ...]:
        """Return where the points of a row go, the first at position ``offset``."""
        return tuple((self.x.at(Fraction(index + offset)), self.y.at(value)) for index, value in enumerate(values))


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of a histogram."""

    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal


def chart_axes(values: Sequence[Fraction], positions: int, frame: Frame, most_ticks: int = 6) -> Axes:
    """Return axes for ``positions`` points in a row that cover the values (points, limits, whatever must be seen).

    A point has half a step of room on either side. The upright scale ends at its outer ticks.

    Raises:
        BadInputError: TOO_SMALL: no position, no value, or fewer than three ticks.
    """
    at_least(Figure.POSITIONS, positions, 1)
    at_least(Figure.VALUES, len(values), 1)
    ticks = nice_ticks(min(values), max(values), most_ticks)
    half = Fraction(1, 2)
    return Axes(
        Scale(-half, positions - half, frame.left, frame.left + frame.width),
        Scale(Fraction(ticks[0]), Fraction(ticks[-1]), frame.top + frame.height, frame.top),
        ticks,
    )


def nice_ticks(low: Fraction, high: Fraction, most: int = 6) -> tuple[Decimal, ...]:
    """Return round values, 1, 2 or 5 times a power of ten apart, from at or below ``low`` to at or above ``high``.

    At most ``most`` of them, at least two; a single value gets a step of about a hundredth on either side.

    Raises:
        BadInputError: TOO_SMALL, below three ticks.
    """
    at_least(Figure.TICKS, most, 3)
    power = _power_below((high - low) / most or abs(low) / 100 or Fraction(1))
    while True:
        for step in _STEPS:
            size = step * Fraction(10) ** power
            first, last = low // size, -(-high // size)
            if first == last:
                first, last = first - 1, last + 1
            if last - first < most:
                return tuple(rounded(index * size, max(-power, 0)) for index in range(first, last + 1))
        power += 1


def histogram_bars(bins: Sequence[Bin], x: Scale, frame: Frame) -> tuple[Bar, ...]:
    """Return the bars of a histogram, the highest as high as the frame; ``x`` is the scale of the readings."""
    highest = max(1, *(each.count for each in bins))
    counts = Scale(Fraction(0), Fraction(highest), frame.top + frame.height, frame.top)
    return tuple(_bar(each, x, counts) for each in bins)


def _bar(each: Bin, x: Scale, counts: Scale) -> Bar:
    left, top = x.at(each.low), counts.at(Fraction(each.count))
    return Bar(left, top, x.at(each.high) - left, counts.start - top)


def _power_below(value: Fraction) -> int:
    """Return the exponent of the largest power of ten at or below a value above zero, at least -9."""
    power = -9
    while value >= Fraction(10) ** (power + 1):
        power += 1
    return power
