"""Gauge study by averages and ranges: the way that can be done with paper and pencil."""

from dataclasses import dataclass
from fractions import Fraction

from app.core.quality.chart_constants import LARGEST_SUBGROUP, chart_constants, range_mean_of_few
from app.core.quality.errors import Figure, at_most
from app.core.quality.exact_sums import mean
from app.core.quality.gauge_study import Components, Readings, balanced

_MANY_RANGES = 15


@dataclass(frozen=True, slots=True)
class RangeStudy:
    """The figures of the report, and the variances they give."""

    average_ranges: tuple[Fraction, ...]
    """Average range of each appraiser's trials."""
    averages: tuple[Fraction, ...]
    """Average of each appraiser's readings."""
    average_range: Fraction
    difference: Fraction
    """Between the largest and the smallest appraiser's average."""
    part_range: Fraction
    """Between the largest and the smallest part's average."""
    range_limit: Fraction
    """Upper limit D4 times the average range."""
    beyond: tuple[tuple[int, int], ...]
    """Appraiser and part (from 0) whose trials differ by more than that: to be measured again or explained."""
    components: Components


def study_by_ranges(readings: Readings) -> RangeStudy:
    """Return a study by averages and ranges; up to 25 parts, appraisers and trials.

    Equipment EV = average range * K1, appraisers AV = sqrt((difference * K2)**2 - EV**2 / (parts * trials)), parts
    PV = part range * K3, with K = 1 / d2*; as in print K1 takes d2 for more than 15 ranges. The interaction is not
    told.

    Source: AIAG MSA, 4th ed., chapter III section B, average and range method.

    Raises:
        BadInputError: as ``gauge_study.balanced``; TOO_LARGE beyond 25 parts, appraisers or trials.
    """
    cells = balanced(readings)
    parts, trials = len(cells[0]), len(cells[0][0])
    for what, count in ((Figure.APPRAISERS, len(cells)), (Figure.PARTS, parts), (Figure.TRIALS, trials)):
        at_most(what, count, LARGEST_SUBGROUP)
    ranges = [[max(trials) - min(trials) for trials in measured] for measured in cells]
    averages = tuple(mean([value for trials in measured for value in trials]) for measured in cells)
    part_averages = [mean([value for measured in cells for value in measured[part]]) for part in range(parts)]
    average_range = mean([each for row in ranges for each in row])
    difference, part_range = max(averages) - min(averages), max(part_averages) - min(part_averages)
    limit = average_range * Fraction(chart_constants(trials).dd4)
    equipment = (average_range / _ranges_mean(trials, len(cells) * parts)) ** 2
    return RangeStudy(
        average_ranges=tuple(map(mean, ranges)),
        averages=averages,
        average_range=average_range,
        difference=difference,
        part_range=part_range,
        range_limit=limit,
        beyond=tuple((who, part) for who, row in enumerate(ranges) for part, each in enumerate(row) if each > limit),
        components=Components(
            equipment=equipment,
            appraiser=_appraiser_variance(difference, len(cells), equipment / (parts * trials)),
            interaction=Fraction(0),
            part=(part_range / _one_range_mean(parts)) ** 2,
        ),
    )


def _ranges_mean(trials: int, ranges: int) -> Fraction:
    few = ranges <= _MANY_RANGES
    return Fraction(range_mean_of_few(trials, ranges) if few else chart_constants(trials).d2)


def _one_range_mean(count: int) -> Fraction:
    return Fraction(range_mean_of_few(count, 1))


def _appraiser_variance(difference: Fraction, appraisers: int, due_to_equipment: Fraction) -> Fraction:
    if appraisers == 1:
        return Fraction(0)
    return max((difference / _one_range_mean(appraisers)) ** 2 - due_to_equipment, Fraction(0))
