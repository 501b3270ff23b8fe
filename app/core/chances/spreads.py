"""How much times differ from their plan: equally likely factors, from history or, where there is little, as stated."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, log
from statistics import NormalDist
from typing import Final

from app.core.chances.kernels.generator import ONE

ENOUGH: Final = 20
"""So many observations are a spread of their own; fewer only move the mean of the usual one."""
WEIGHT: Final = 5
"""The usual spread counts like so many observations where there are fewer than ENOUGH."""
LONGEST: Final = 10.0
"""A time of more than so many times its plan teaches nothing: rather a sign-off that was forgotten."""
SLICES: Final = 512


@dataclass(frozen=True, slots=True)
class Spread:
    """Factors that are equally likely, ascending, in parts of 65,536; none is always 1.

    Raises:
        ValueError: they do not ascend, are below zero or too many.
    """

    factors: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if any(low > high for low, high in pairwise((0, *self.factors))):
            raise ValueError("The factors of a spread must ascend from zero.")
        if len(self.factors) > ONE:
            raise ValueError(f"A spread has at most {ONE} factors.")

    @property
    def mean(self) -> float:
        """The mean factor."""
        return sum(self.factors) / len(self.factors) / ONE if self.factors else 1.0

    @property
    def mean_square(self) -> float:
        """The mean of the squares."""
        return fsum((each / ONE) ** 2 for each in self.factors) / len(self.factors) if self.factors else 1.0

    def times(self, by: float) -> "Spread":
        """Return the spread of so many times as long."""
        return Spread(tuple(round(each * by) for each in self.factors or (ONE,)))


def spread_of(ratios: Sequence[float]) -> Spread:
    """Return the spread of ratios of actual to planned times; a negative one, or one above LONGEST, is no time."""
    kept = sorted(_times(ratios))
    step = -(-len(kept) // ONE)
    return Spread(tuple(round(each * ONE) for each in kept[:: step or 1]))


def _times(ratios: Sequence[float]) -> list[float]:
    """Return the ratios that tell of work."""
    return [each for each in ratios if 0 <= each <= LONGEST]


def lognormal(sigma: float, slices: int = SLICES) -> Spread:
    """Return a lognormal spread of mean 1: the means of its equally likely slices.

    Args:
        sigma: standard deviation of the logarithm; zero or more.
        slices: how many.
    """
    normal = NormalDist()
    cuts = [-9.0 - sigma, *(normal.inv_cdf(n / slices) for n in range(1, slices)), 9.0 + 2 * sigma]
    below = [normal.cdf(cut - sigma) for cut in cuts]  # E[X; Z < cut], with X of mean 1
    return Spread(tuple(sorted(round((high - low) * slices * ONE) for low, high in pairwise(below))))


def exponential(slices: int = 4096) -> Spread:
    """Return an exponential spread of mean 1: the means of its equally likely slices."""

    def beyond(share: float) -> float:  # integral of -ln(x) from 0 to a share
        return share - share * log(share) if share > 0 else 0.0

    over = [beyond(n / slices) for n in range(slices + 1)]
    return Spread(tuple(sorted(round((high - low) * slices * ONE) for low, high in pairwise(over))))


FIXED: Final = Spread()
"""As planned."""
STATED_SETUP: Final = lognormal(0.35)
"""Set-up where there is no history: two of three within about a third of the plan. A guess of ours, no source."""
STATED_WORK: Final = lognormal(0.15)
"""Work where there is no history: two of three within about a seventh of the plan. A guess of ours, no source."""


def learned(own: Sequence[float], usual: Spread) -> Spread:
    """Return the spread that history teaches.

    Args:
        own: ratios of actual to planned times seen of this very thing.
        usual: what holds where there is little: that of all alike, or the stated one.
    """
    kept = _times(own)
    if len(kept) >= ENOUGH:
        return spread_of(kept)
    if not kept:
        return usual
    mean = usual.mean
    return usual.times((WEIGHT * mean + fsum(kept)) / (WEIGHT + len(kept)) / mean)
