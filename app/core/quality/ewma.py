"""The chart of exponentially weighted moving averages, which finds a small shift sooner than single readings do."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.core.quality.control_charts import individuals_chart
from app.core.quality.errors import Figure, inside, within
from app.core.quality.exact_sums import exact_values, root, trimmed

DEFAULT_WEIGHT = Decimal("0.2")
DEFAULT_WIDTH = Decimal(3)
LEAST_WEIGHT = Decimal("0.01")
WIDEST = 10


@dataclass(frozen=True, slots=True)
class EwmaChart:
    """The averages with the limits of each point, which widen from the first point to their steady value."""

    points: tuple[Fraction, ...]
    center: Fraction
    lower: tuple[Fraction, ...]
    upper: tuple[Fraction, ...]
    steady_lower: Fraction
    steady_upper: Fraction

    @property
    def beyond(self) -> tuple[int, ...]:
        """Indices of the points beyond their limits; run rules make no sense for points that share readings."""
        inside = zip(self.lower, self.points, self.upper, strict=True)
        return tuple(index for index, (low, point, high) in enumerate(inside) if not low <= point <= high)


def ewma_chart(
    readings: Sequence[Decimal],
    weight: Decimal = DEFAULT_WEIGHT,
    width: Decimal = DEFAULT_WIDTH,
    base: range | None = None,
) -> EwmaChart:
    """Return the chart with mean and sigma (from moving ranges) of the readings of a base period, or of all.

    Arguments and errors as for ``ewma_around`` and ``control_charts.individuals_chart``.
    """
    level = individuals_chart(readings, base=base).level.limits
    return ewma_around(readings, level.center, level.sigma, weight, width)


def ewma_around(
    readings: Sequence[Decimal],
    center: Fraction,
    sigma: Fraction,
    weight: Decimal = DEFAULT_WEIGHT,
    width: Decimal = DEFAULT_WIDTH,
) -> EwmaChart:
    """Return the chart around a known level with a known standard deviation of single readings.

    z = weight * x + (1 - weight) * the z before, starting from ``center``; the limits of the i-th point are
    center -+ width * sigma * sqrt(weight / (2 - weight) * (1 - (1 - weight)**(2 i))), each step to 30 places.

    Source: NIST/SEMATECH e-Handbook, 6.3.2.4; Montgomery, Introduction to Statistical Quality Control, chapter 9.

    Args:
        readings: in the order in which the pieces were made.
        center: the level around which it should vary.
        sigma: standard deviation of single readings; zero or more.
        weight: of the latest reading, 0.01 to 1.
        width: of the limits in standard deviations of the average, above 0 and below 10.

    Raises:
        BadInputError: NOT_BETWEEN for weight or width, NOT_A_NUMBER, TOO_MANY_DIGITS.
    """
    share, spread = _checked(weight, width), sigma * Fraction(width)
    point, left = center, Fraction(1)
    points, halves = [], []
    for value in exact_values(readings):
        point = trimmed(share * value + (1 - share) * point)
        left = trimmed(left * (1 - share) ** 2)
        points.append(point)
        halves.append(spread * root(share / (2 - share) * (1 - left)))
    steady = spread * root(share / (2 - share))
    lower, upper = (tuple(center + side * half for half in halves) for side in (-1, 1))
    return EwmaChart(tuple(points), center, lower, upper, center - steady, center + steady)


def _checked(weight: Decimal, width: Decimal) -> Fraction:
    within(Figure.WEIGHT, weight, LEAST_WEIGHT, 1)
    inside(Figure.WIDTH, width, 0, WIDEST)
    return Fraction(weight)
