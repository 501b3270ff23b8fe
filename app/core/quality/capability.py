"""How well a process keeps its limits: Cp and Cpk of a stable one, Pp and Ppk of any.

Cp and Cpk take the standard deviation from within subgroups (moving ranges of single readings), Pp and Ppk that of all
readings. They suppose readings that scatter normally. Source: AIAG SPC, 2nd ed.; ISO 22514-2 (from memory);
NIST/SEMATECH e-Handbook, 6.1.6.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import erfc, inf, sqrt
from statistics import NormalDist

from app.core.quality.control_charts import ENOUGH_POINTS, ControlChart, Stability
from app.core.quality.distributions import chi_square_quantile
from app.core.quality.errors import BadInputError, Fault, Figure, inside
from app.core.quality.exact_sums import deviation, mean
from app.core.quality.tolerances import Limits

DEFAULT_CONFIDENCE = Decimal("0.95")


@dataclass(frozen=True, slots=True)
class Index:
    """An index with its two-sided confidence interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Indices:
    """How the limits compare with a standard deviation: as capability Cp and Cpk, as performance Pp and Ppk."""

    sigma: Fraction
    width: Index | None
    """Tolerance over six sigma (Cp, Pp); None where a limit is open."""
    nearest: Index
    """Distance of the mean from the nearer limit over three sigma (Cpk, Ppk)."""
    lower: float | None
    """Distance from the lower limit over three sigma (Cpl, Ppl)."""
    upper: float | None
    """Distance from the upper limit over three sigma (Cpu, Ppu)."""
    expected_out: float
    """Share of pieces out of limits that a normal distribution with this mean and sigma has."""


@dataclass(frozen=True, slots=True)
class Assessment:
    """What may be said of a process against its limits."""

    count: int
    """Single readings."""
    mean: Fraction
    stability: Stability
    performance: Indices
    """Pp and Ppk, true of the readings there are."""
    capability: Indices | None
    """Cp and Cpk, which promise something of pieces to come: only for a process that its chart shows stable."""


def assess(
    chart: ControlChart, limits: Limits, confidence: Decimal = DEFAULT_CONFIDENCE, enough: int = ENOUGH_POINTS
) -> Assessment:
    """Return the indices of the readings on a chart.

    The mean is that of all readings, the sigma of Cp that of the chart's base period.

    Args:
        chart: says whether the process is stable.
        limits: of the characteristic, in the unit of the readings.
        confidence: of the intervals, between 0 and 1.
        enough: points that the chart needs to call a process stable.

    Raises:
        BadInputError: NO_SPREAD where all readings are the same, NOT_BETWEEN.
    """
    count, center = len(chart.values), mean(chart.values)
    stability = chart.stability(enough)
    performance = indices(center, deviation(chart.values), count, limits, confidence)
    stable = stability is Stability.STABLE
    capability = indices(center, chart.within, count, limits, confidence) if stable else None
    return Assessment(count, center, stability, performance, capability)


def indices(
    center: Fraction, sigma: Fraction, count: int, limits: Limits, confidence: Decimal = DEFAULT_CONFIDENCE
) -> Indices:
    """Return the indices of a mean and a standard deviation from ``count`` readings.

    Raises:
        BadInputError: NO_SPREAD, TOO_FEW (two readings are the least), NOT_BETWEEN.
    """
    if not sigma:
        raise BadInputError(Fault.NO_SPREAD)
    lower = None if limits.lower is None else float((center - Fraction(limits.lower)) / (3 * sigma))
    upper = None if limits.upper is None else float((Fraction(limits.upper) - center) / (3 * sigma))
    nearest = min(side for side in (lower, upper) if side is not None)
    width = None if limits.width is None else float(limits.width / (6 * sigma))
    return Indices(
        sigma=sigma,
        width=None if width is None else Index(width, *width_interval(width, count, confidence)),
        nearest=Index(nearest, *nearest_interval(nearest, count, confidence)),
        lower=lower,
        upper=upper,
        expected_out=expected_out(lower, upper),
    )


def nearest_interval(value: float, count: int, confidence: Decimal = DEFAULT_CONFIDENCE) -> tuple[float, float]:
    """Return the two-sided interval of a Cpk or Ppk: value -+ z sqrt(1 / (9 n) + value**2 / (2 (n - 1))).

    Approximate; its lower end alone is a bound with confidence (1 + confidence) / 2. For a Cpk, whose sigma comes from
    within subgroups, it is a little too narrow.

    Source: Bissell 1990, Applied Statistics 39, 331-340.

    Raises:
        BadInputError: TOO_FEW, NOT_BETWEEN.
    """
    z = NormalDist().inv_cdf((1 + _checked(count, confidence)) / 2)
    half = z * sqrt(1 / (9 * count) + value**2 / (2 * (count - 1)))
    return value - half, value + half


def width_interval(value: float, count: int, confidence: Decimal = DEFAULT_CONFIDENCE) -> tuple[float, float]:
    """Return the two-sided interval of a Cp or Pp: value * sqrt(chi-square quantile / (n - 1)) at either end.

    Source: Montgomery, Introduction to Statistical Quality Control, chapter 8.

    Raises:
        BadInputError: TOO_FEW, NOT_BETWEEN.
    """
    tail, degrees = (1 - _checked(count, confidence)) / 2, count - 1
    low, high = (value * sqrt(chi_square_quantile(chance, degrees) / degrees) for chance in (tail, 1 - tail))
    return low, high


def expected_out(lower: float | None, upper: float | None) -> float:
    """Return the share out of limits that a normal distribution has, from its one-sided indices (None: no limit)."""
    sides = (3 * (inf if side is None else side) for side in (lower, upper))
    return sum(erfc(z / sqrt(2)) / 2 for z in sides)


def _checked(count: int, confidence: Decimal) -> float:
    if count < 2:
        raise BadInputError(Fault.TOO_FEW, what=Figure.READINGS, count=count, least=2)
    inside(Figure.CONFIDENCE, confidence, 0, 1)
    return float(confidence)
