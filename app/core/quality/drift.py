"""A drift towards a limit: a line through the readings over the piece count, and where it crosses the limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from app.core.quality.distributions import f_upper
from app.core.quality.errors import BadInputError, Fault, Figure, at_least, inside
from app.core.quality.exact_sums import exact_values, mean, root, squares
from app.core.quality.tolerances import Limits

DEFAULT_SIGNIFICANCE = Decimal("0.01")
"""One in a hundred steady processes is taken for a drifting one."""

LEAST_READINGS = 5
_LEAST_FOR_A_LINE = 3


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares line; all of it exact but the errors (to 30 places) and the chance."""

    intercept: Fraction
    slope: Fraction
    intercept_error: Fraction
    """Standard error of the intercept."""
    slope_error: Fraction
    residual: Fraction
    """Standard deviation around the line, with n - 2."""
    chance: float
    """How likely a slope this far from zero, either way, is where there is none (t-test with n - 2)."""

    def at(self, x: Fraction | int) -> Fraction:
        """Return the height of the line."""
        return self.intercept + self.slope * x


@dataclass(frozen=True, slots=True)
class Drift:
    """What the readings of a run say about its drift."""

    line: Line
    """Reading over the number of the piece."""
    significant: bool
    """Whether there is a drift to speak of."""
    crosses_at: int | None
    """The first piece whose height on the line is beyond a limit; it may already be made.

    None without a significant drift, or where the side that it goes to is open.
    """
    strays_from: int | None
    """The first piece where three standard deviations around the line reach beyond: from here single pieces stray."""


def fit_line(x: Sequence[Fraction], y: Sequence[Fraction]) -> Line:
    """Return the least-squares line through at least three points that are not all above one another.

    Source: slope = Sxy / Sxx, residual variance = (Syy - Sxy**2 / Sxx) / (n - 2), slope error**2 = that over Sxx,
    (slope / slope error)**2 = F with 1 and n - 2: Draper and Smith, Applied Regression Analysis, chapter 1.

    Raises:
        BadInputError: TOO_FEW, ONE_PIECE.
    """
    _enough(len(y), _LEAST_FOR_A_LINE)
    count, x_mean, y_mean, sxx = len(y), mean(x), mean(y), squares(x)
    if not sxx:
        raise BadInputError(Fault.ONE_PIECE)
    sxy = sum((a * b for a, b in zip(x, y, strict=True)), Fraction(0)) - count * x_mean * y_mean
    slope = sxy / sxx
    variance = (squares(y) - slope * sxy) / (count - 2)
    slope_variance = variance / sxx
    return Line(
        intercept=y_mean - slope * x_mean,
        slope=slope,
        intercept_error=root(variance / count + slope_variance * x_mean**2),
        slope_error=root(slope_variance),
        residual=root(variance),
        chance=_chance(slope, slope_variance, count),
    )


def find_drift(
    readings: Sequence[tuple[int, Decimal]],
    limits: Limits,
    significance: Decimal = DEFAULT_SIGNIFICANCE,
    least: int = LEAST_READINGS,
) -> Drift:
    """Return whether the readings of a run drift, and the piece at which their line crosses a limit.

    A drift is significant when a slope this steep has at most the chance ``significance`` without one (two-sided
    t-test, which takes the readings to scatter normally and independently around the line).

    Args:
        readings: number of the piece and its reading; the caller chooses how far back.
        limits: of the characteristic.
        significance: between 0 and 1.
        least: fewest readings, 3 or more, that are judged.

    Raises:
        BadInputError: TOO_FEW readings, ONE_PIECE where all are of the same, NOT_BETWEEN, TOO_SMALL.
    """
    inside(Figure.SIGNIFICANCE, significance, 0, 1)
    _enough(len(readings), at_least(Figure.LEAST, least, _LEAST_FOR_A_LINE))
    pieces = [Fraction(piece) for piece, _ in readings]
    line = fit_line(pieces, exact_values(value for _, value in readings))
    significant = line.chance <= significance
    if not significant:
        return Drift(line, significant, None, None)
    return Drift(line, significant, _crossing(line, limits), _crossing(line, limits, margin=3 * line.residual))


def _enough(count: int, least: int) -> None:
    if count < least:
        raise BadInputError(Fault.TOO_FEW, what=Figure.READINGS, count=count, least=least)


def _chance(slope: Fraction, slope_variance: Fraction, count: int) -> float:
    if not slope:
        return 1.0
    return f_upper(float(slope**2 / slope_variance), 1, count - 2) if slope_variance else 0.0


def _crossing(line: Line, limits: Limits, margin: Fraction = Fraction(0)) -> int | None:
    ahead = limits.upper if line.slope > 0 else limits.lower
    if ahead is None:
        return None
    edge = (Fraction(ahead) - line.intercept) / line.slope - margin / abs(line.slope)
    return max(floor(edge) + 1, 1)
