"""The run rules that tell an unusual pattern of points on a control chart, each of which can be switched off.

Source: Western Electric, Statistical Quality Control Handbook, 1956; as given by Montgomery and Runger, Applied
Statistics and Probability for Engineers. A point on a line does not count as beyond it, and one on the centre line
belongs to neither side.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

Real = TypeVar("Real", Fraction, float)


class Rule(StrEnum):
    """A pattern that is unlikely while nothing has changed."""

    BEYOND_LIMIT = "beyond limit"
    TWO_OF_THREE = "two of three"
    FOUR_OF_FIVE = "four of five"
    EIGHT_IN_A_ROW = "eight in a row"


ALL_RULES = frozenset(Rule)

# Of the last so many points so many lie on one side, all beyond so many sigma; the latest is one of them.
_PATTERNS = {
    Rule.BEYOND_LIMIT: (1, 1, 3),
    Rule.TWO_OF_THREE: (3, 2, 2),
    Rule.FOUR_OF_FIVE: (5, 4, 1),
    Rule.EIGHT_IN_A_ROW: (8, 8, 0),
}


@dataclass(frozen=True, slots=True)
class Signal:
    """A rule that a point completed."""

    rule: Rule
    point: int
    """Index of the point that completed the pattern."""
    first: int
    """Index of the first point looked at for it."""
    above: bool
    """On which side of the centre line."""


def zone(deviation: Real, sigma: Real) -> int:
    """Return in which zone a point lies: 0 on the centre line, 1 up to one sigma, to 4 beyond three; negative below."""
    distance = abs(deviation)
    zones = 1 + (distance > sigma) + (distance > 2 * sigma) + (distance > 3 * sigma)
    return 0 if not deviation else zones if deviation > 0 else -zones


def find_signals(zones: Sequence[int], rules: Collection[Rule] = ALL_RULES) -> tuple[Signal, ...]:
    """Return every signal of the rules that are switched on, point by point; zones as from ``zone``."""
    switched_on = [(rule, *_PATTERNS[rule]) for rule in Rule if rule in rules]
    found = []
    for point, latest in enumerate(zones):
        side = 1 if latest > 0 else -1
        for rule, window, enough, sigmas in switched_on:
            if latest * side > sigmas:
                first = max(point + 1 - window, 0)
                if _beyond(zones[first : point + 1], side, sigmas) >= enough:
                    found.append(Signal(rule, point, first, side > 0))
    return tuple(found)


def _beyond(zones: Iterable[int], side: int, sigmas: int) -> int:
    return sum(each * side > sigmas for each in zones)
