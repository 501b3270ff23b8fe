"""Control charts of single readings and of subgroups, with their limits, signals and verdict.

Points and limits are exact fractions, given the chart constants. Limits come from a base period, all points by default.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from app.core.quality.chart_constants import chart_constants
from app.core.quality.errors import BadInputError, Fault, Figure, at_least
from app.core.quality.exact_sums import deviation, exact_values, mean
from app.core.quality.run_rules import ALL_RULES, Rule, Signal, find_signals, zone

ENOUGH_POINTS = 20
"""Fewer points give no verdict (20 to 25 subgroups are common practice, no source)."""

LEAST_BASE = 2


class ChartKind(StrEnum):
    """What a chart shows."""

    INDIVIDUALS = "individuals and moving range"
    MEAN_RANGE = "mean and range"
    MEAN_DEVIATION = "mean and standard deviation"


class Stability(StrEnum):
    """What a chart says about its process."""

    STABLE = "stable"
    NOT_STABLE = "not stable"
    TOO_FEW = "too few points"


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """Centre line, standard deviation of the plotted value, limits three of them away (for a spread not below 0)."""

    center: Fraction
    sigma: Fraction
    lower: Fraction
    upper: Fraction


@dataclass(frozen=True, slots=True)
class Track:
    """One row of points with its limits and signals."""

    points: tuple[Fraction, ...]
    limits: ControlLimits
    signals: tuple[Signal, ...]
    offset: int = 0
    """Index of the reading or subgroup that the first point belongs to; 1 for moving ranges."""


@dataclass(frozen=True, slots=True)
class ControlChart:
    """A chart of level and spread."""

    kind: ChartKind
    level: Track
    spread: Track
    subgroup_size: int
    within: Fraction
    """Standard deviation of single readings, estimated from the spread within subgroups in the base period."""
    values: tuple[Fraction, ...]
    """All single readings charted."""

    def stability(self, enough: int = ENOUGH_POINTS) -> Stability:
        """Return whether the process is stable: no signal of a rule that is switched on, and enough points to tell."""
        if self.level.signals or self.spread.signals:
            return Stability.NOT_STABLE
        return Stability.STABLE if len(self.level.points) >= enough else Stability.TOO_FEW


def individuals_chart(
    readings: Sequence[Decimal], rules: Collection[Rule] = ALL_RULES, base: range | None = None
) -> ControlChart:
    """Return the chart of single readings and moving ranges of two; sigma is the average moving range over d2.

    Source: NIST/SEMATECH e-Handbook, 6.3.2.2 (there with d2 rounded to 1.128).

    Args:
        readings: in the order in which the pieces were made.
        rules: the run rules that are switched on; of these a moving range is only held against its limits, since
            neighbouring ones share a reading.
        base: indices of the readings that the limits come from.

    Raises:
        BadInputError: EMPTY_BASE, or a reading that is none (NOT_A_NUMBER, TOO_MANY_DIGITS).
    """
    values, constants = exact_values(readings), chart_constants(2)
    based = _based(values, base)
    ranges = tuple(abs(after - before) for before, after in pairwise(values))
    average = mean([abs(after - before) for before, after in pairwise(based)])
    within = average / Fraction(constants.d2)
    return ControlChart(
        ChartKind.INDIVIDUALS,
        _track(values, mean(based), within, rules),
        _spread_track(ranges, average, constants.range_ratio, rules, offset=1),
        subgroup_size=1,
        within=within,
        values=values,
    )


def mean_range_chart(
    subgroups: Sequence[Sequence[Decimal]], rules: Collection[Rule] = ALL_RULES, base: range | None = None
) -> ControlChart:
    """Return the chart of means and ranges of subgroups of one size, 2 to 25; sigma is the average range over d2.

    Source: Montgomery, Introduction to Statistical Quality Control, chapter 6.

    Args:
        subgroups: in the order in which they were taken.
        rules: the run rules that are switched on; the ranges are only held against their limits.
        base: indices of the subgroups that the limits come from.

    Raises:
        BadInputError: EMPTY_BASE, UNEQUAL_SUBGROUPS, TOO_SMALL, TOO_LARGE, or a reading that is none.
    """
    return _subgroup_chart(ChartKind.MEAN_RANGE, subgroups, rules, base)


def mean_deviation_chart(
    subgroups: Sequence[Sequence[Decimal]], rules: Collection[Rule] = ALL_RULES, base: range | None = None
) -> ControlChart:
    """Return the chart of means and standard deviations of subgroups; sigma is the average deviation over c4.

    Source, arguments and errors as for ``mean_range_chart``.
    """
    return _subgroup_chart(ChartKind.MEAN_DEVIATION, subgroups, rules, base)


def complete_subgroups(readings: Sequence[Decimal], size: int) -> tuple[tuple[Decimal, ...], ...]:
    """Return the readings in subgroups of consecutive ones; what is left at the end waits for more.

    Raises:
        BadInputError: TOO_SMALL.
    """
    whole = len(readings) // at_least(Figure.SUBGROUP, size, 1)
    return tuple(tuple(readings[group * size : (group + 1) * size]) for group in range(whole))


def _subgroup_chart(
    kind: ChartKind, subgroups: Sequence[Sequence[Decimal]], rules: Collection[Rule], base: range | None
) -> ControlChart:
    groups = _equal_groups(subgroups)
    size = len(groups[0]) if groups else 0
    means, spreads = tuple(map(mean, groups)), tuple(map(_SPREADS[kind], groups))
    average, center = mean(_based(spreads, base)), mean(_based(means, base))
    constants = chart_constants(size)
    ranges = kind is ChartKind.MEAN_RANGE
    within = average / Fraction(constants.d2 if ranges else constants.c4)
    of_mean = average * Fraction(constants.aa2 if ranges else constants.aa3) / 3
    ratio = constants.range_ratio if ranges else constants.deviation_ratio
    return ControlChart(
        kind,
        _track(means, center, of_mean, rules),
        _spread_track(spreads, average, ratio, rules),
        subgroup_size=size,
        within=within,
        values=tuple(value for group in groups for value in group),
    )


def _range(group: Sequence[Fraction]) -> Fraction:
    return max(group) - min(group)


_SPREADS: dict[ChartKind, Callable[[Sequence[Fraction]], Fraction]] = {
    ChartKind.MEAN_RANGE: _range,
    ChartKind.MEAN_DEVIATION: deviation,
}


def _equal_groups(subgroups: Sequence[Sequence[Decimal]]) -> tuple[tuple[Fraction, ...], ...]:
    for index, group in enumerate(subgroups):
        if len(group) != len(subgroups[0]):
            raise BadInputError(Fault.UNEQUAL_SUBGROUPS, index=index, size=len(group), expected=len(subgroups[0]))
        chart_constants(len(group))
    return tuple(map(exact_values, subgroups))


def _based(points: Sequence[Fraction], base: range | None) -> Sequence[Fraction]:
    chosen = points if base is None else [points[index] for index in base if 0 <= index < len(points)]
    if len(chosen) < LEAST_BASE:
        raise BadInputError(Fault.EMPTY_BASE, points=len(chosen), least=LEAST_BASE)
    return chosen


def _track(points: tuple[Fraction, ...], center: Fraction, sigma: Fraction, rules: Collection[Rule]) -> Track:
    zones = [zone(point - center, sigma) for point in points]
    limits = ControlLimits(center, sigma, center - 3 * sigma, center + 3 * sigma)
    return Track(points, limits, find_signals(zones, rules))


def _spread_track(
    points: tuple[Fraction, ...], average: Fraction, ratio: float, rules: Collection[Rule], offset: int = 0
) -> Track:
    sigma = average * Fraction(ratio)
    track = _track(points, average, sigma, {Rule.BEYOND_LIMIT} & set(rules))
    limits = ControlLimits(average, sigma, max(Fraction(0), average - 3 * sigma), average + 3 * sigma)
    return Track(track.points, limits, track.signals, offset)
