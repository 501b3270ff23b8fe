"""The constants of control charts and gauge studies: means and deviations of ranges and of standard deviations."""

from dataclasses import dataclass
from functools import cache
from math import exp, lgamma, sqrt

from app.core.quality.errors import Figure, at_least, at_most

SMALLEST_SUBGROUP, LARGEST_SUBGROUP = 2, 25

# Mean and standard deviation of the range of n values from the standard normal distribution, n = 2 to 25, integrated
# numerically to 13 places; the tests integrate them again another way.
_RANGE_MEANS = (
    *(1.1283791670955, 1.6925687506433, 2.0587507460079, 2.3259289472810, 2.5344127212229, 2.7043567512138),
    *(2.8472006120906, 2.9700263244185, 3.0775054616703, 3.1728727038160, 3.2584552797438, 3.3359803540983),
    *(3.4067631082000, 3.4718268898821, 3.5319827861096, 3.5878839617654, 3.6400637579374, 3.6889630232076),
    *(3.7349501195966, 3.7783358298426, 3.8193846433628, 3.8583234232850, 3.8953481484514, 3.9306292195071),
)
_RANGE_DEVIATIONS = (
    *(0.8525024664274, 0.8883680040452, 0.8798082028250, 0.8640819410995, 0.8480396861175, 0.8332053356223),
    *(0.8198314897920, 0.8078342745533, 0.7970506735194, 0.7873146205503, 0.7784783412034, 0.7704162020638),
    *(0.7630230956248, 0.7562114297280, 0.7499080894099, 0.7440517839607, 0.7385908533782, 0.7334814955189),
    *(0.7286863457073, 0.7241733407175, 0.7199148084342, 0.7158867354918, 0.7120681751479, 0.7084407658887),
)


@dataclass(frozen=True, slots=True)
class ChartConstants:
    """The constants for subgroups of one size, by their usual names; capital letters are doubled, D3 is ``dd3``.

    d2 and d3 are mean and standard deviation of the range in units of sigma, c4 the mean of the standard deviation;
    A2 = 3 / (d2 sqrt n), A3 = 3 / (c4 sqrt n), B3 and B4 = 1 -+ 3 sqrt(1 - c4**2) / c4, D3 and D4 = 1 -+ 3 d3 / d2 (B3
    and D3 not below 0), E2 = 3 / d2. Source: ASTM E2587 and MNL 7 (from memory).
    """

    size: int
    d2: float
    d3: float
    c4: float

    @property
    def aa2(self) -> float:
        """Three-sigma limits of a mean, in average ranges."""
        return 3 / (self.d2 * sqrt(self.size))

    @property
    def aa3(self) -> float:
        """Three-sigma limits of a mean, in average standard deviations."""
        return 3 / (self.c4 * sqrt(self.size))

    @property
    def bb3(self) -> float:
        """Lower limit of a standard deviation, in average ones."""
        return max(0.0, 1 - 3 * self.deviation_ratio)

    @property
    def bb4(self) -> float:
        """Upper limit of a standard deviation, in average ones."""
        return 1 + 3 * self.deviation_ratio

    @property
    def dd3(self) -> float:
        """Lower limit of a range, in average ranges."""
        return max(0.0, 1 - 3 * self.range_ratio)

    @property
    def dd4(self) -> float:
        """Upper limit of a range, in average ranges."""
        return 1 + 3 * self.range_ratio

    @property
    def ee2(self) -> float:
        """Three-sigma limits of a single reading, in average ranges."""
        return 3 / self.d2

    @property
    def range_ratio(self) -> float:
        """Standard deviation of a range over its mean, d3 / d2."""
        return self.d3 / self.d2

    @property
    def deviation_ratio(self) -> float:
        """Standard deviation of a standard deviation over its mean, sqrt(1 - c4**2) / c4."""
        return sqrt(1 - self.c4**2) / self.c4


@cache
def chart_constants(size: int) -> ChartConstants:
    """Return the constants for subgroups of ``size`` readings, 2 to 25.

    Raises:
        BadInputError: TOO_SMALL, TOO_LARGE.
    """
    index = at_least(Figure.SUBGROUP, size, SMALLEST_SUBGROUP) - SMALLEST_SUBGROUP
    at_most(Figure.SUBGROUP, size, LARGEST_SUBGROUP)
    return ChartConstants(size, _RANGE_MEANS[index], _RANGE_DEVIATIONS[index], _deviation_mean(size))


def range_mean_of_few(size: int, groups: int) -> float:
    """Return d2*, by which the average of few ranges is divided to get sigma: d2*² = d2² + d3² / groups.

    Source: Duncan, Quality Control and Industrial Statistics, table D3; AIAG MSA, 4th ed., appendix C (from memory).

    Raises:
        BadInputError: as ``chart_constants``; TOO_SMALL also for no group.
    """
    constants = chart_constants(size)
    return sqrt(constants.d2**2 + constants.d3**2 / at_least(Figure.GROUPS, groups, 1))


def _deviation_mean(size: int) -> float:
    """Return c4 = sqrt(2 / (n - 1)) * gamma(n / 2) / gamma((n - 1) / 2)."""
    return sqrt(2 / (size - 1)) * exp(lgamma(size / 2) - lgamma((size - 1) / 2))
