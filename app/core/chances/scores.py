"""How good forecast chances and dates were: Brier's score and its parts, reliability by bins, coverage of dates.

Sources: G. W. Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78 (1950);
A. H. Murphy, A new vector partition of the probability score, Journal of Applied Meteorology 12 (1973); E. B. Wilson,
Probable inference, the law of succession, and statistical inference, JASA 22 (1927).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import fsum, sqrt
from statistics import NormalDist
from typing import NamedTuple

BINS = 10


class Forecast(NamedTuple):
    """The chance that was given to an event, and whether it came."""

    chance: float
    came: bool


class Interval(NamedTuple):
    """From a low share to a high one."""

    low: float
    high: float


def wilson(hits: int, count: int, confidence: float = 0.95) -> Interval:
    """Return Wilson's score interval, without correction for continuity, of a share.

    Raises:
        ValueError: nothing was counted, or there are more hits than that.
    """
    if not 0 <= hits <= count or count == 0:
        raise ValueError(f"{hits} of {count} is no share.")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    middle = (hits + z * z / 2) / (count + z * z)
    half = z * sqrt(hits * (count - hits) / count + z * z / 4) / (count + z * z)
    return Interval(max(0.0, middle - half), min(1.0, middle + half))


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts with about the same chance.

    Attributes:
        low: the least chance that belongs to it; the next bin begins where it ends.
        count: how many there were.
        came: how often the event came.
        mean: the mean chance that was given.
    """

    low: float
    count: int
    came: int
    mean: float

    @property
    def share(self) -> float:
        """How often it came, as a share."""
        return self.came / self.count

    @property
    def interval(self) -> Interval:
        """Where the true share lies, with 95 % confidence."""
        return wilson(self.came, self.count)


@dataclass(frozen=True, slots=True)
class Score:
    """Brier's score of some forecasts and its parts.

    ``brier = reliability - resolution + uncertainty + within``: how far the shares in the bins are from the chances
    given (0 is best), how far from each other (more is better), what the base rate alone leaves open, and what is lost
    by putting unequal chances into one bin (0 when they are equal).
    """

    count: int
    base_rate: float
    brier: float
    reliability: float
    resolution: float
    uncertainty: float
    bins: tuple[Bin, ...]

    @property
    def within(self) -> float:
        """What unequal chances in one bin add."""
        return self.brier - (self.reliability - self.resolution + self.uncertainty)

    @property
    def skill(self) -> float:
        """Share of the base rate's own score that is saved; 0 when all or none came."""
        return 1 - self.brier / self.uncertainty if self.uncertainty > 0 else 0.0


def score(forecasts: Sequence[Forecast], bins: int = BINS) -> Score:
    """Return how good forecasts were, in so many bins of equal width; a chance of 1 belongs to the last.

    Raises:
        ValueError: there is none, or a chance is not between 0 and 1.
    """
    if not forecasts:
        raise ValueError("There is no forecast.")
    if not all(0 <= each.chance <= 1 for each in forecasts):
        raise ValueError("A chance lies between 0 and 1.")
    count = len(forecasts)
    rate = sum(each.came for each in forecasts) / count
    found = tuple(_bins(forecasts, bins))
    return Score(
        count=count,
        base_rate=rate,
        brier=fsum((each.chance - each.came) ** 2 for each in forecasts) / count,
        reliability=fsum(each.count * (each.mean - each.share) ** 2 for each in found) / count,
        resolution=fsum(each.count * (each.share - rate) ** 2 for each in found) / count,
        uncertainty=rate * (1 - rate),
        bins=found,
    )


def _bins(forecasts: Sequence[Forecast], bins: int) -> Iterable[Bin]:
    """Return the bins that hold any."""
    for number in range(bins):
        inside = [each for each in forecasts if min(int(each.chance * bins), bins - 1) == number]
        if inside:
            mean = fsum(each.chance for each in inside) / len(inside)
            yield Bin(number / bins, len(inside), sum(each.came for each in inside), mean)


@dataclass(frozen=True, slots=True)
class Coverage:
    """How many lots were finished by the date that was given for a share of them."""

    wanted: float
    count: int
    by_then: int

    @property
    def share(self) -> float:
        """How many were, as a share."""
        return self.by_then / self.count

    @property
    def interval(self) -> Interval:
        """Where the true share lies, with 95 % confidence."""
        return wilson(self.by_then, self.count)


def coverage(wanted: float, dates: Iterable[tuple[int | None, int]]) -> Coverage:
    """Return how many of (date given, finish) kept the date; a date that could not be given is kept by none."""
    pairs = list(dates)
    return Coverage(wanted, len(pairs), sum(date is not None and finish <= date for date, finish in pairs))
