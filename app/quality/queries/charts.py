"""What a chart page shows: the chart, its verdict, the indices, the histogram and the drift."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.core.quality.capability import Assessment, assess
from app.core.quality.control_charts import (
    ControlChart,
    Stability,
    complete_subgroups,
    individuals_chart,
    mean_deviation_chart,
    mean_range_chart,
)
from app.core.quality.errors import BadInputError
from app.core.quality.ewma import ewma_chart
from app.core.quality.run_rules import Rule
from app.core.quality.tolerances import Limits
from app.quality.models import Reading
from app.quality.queries.chart_data import Charted
from app.quality.queries.pictures import (
    LEVEL,
    SPREAD,
    Bars,
    Picture,
    Plot,
    ewma_picture,
    histogram_picture,
    seams_of,
    track_picture,
)
from app.shared.words import gettext


class ChartType(StrEnum):
    """The charts that can be chosen."""

    INDIVIDUALS = "individuals"
    MEAN_RANGE = "mean and range"
    MEAN_DEVIATION = "mean and deviation"
    MOVING_AVERAGE = "moving average"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            ChartType.INDIVIDUALS: gettext("Individuals and moving range"),
            ChartType.MEAN_RANGE: gettext("Mean and range"),
            ChartType.MEAN_DEVIATION: gettext("Mean and standard deviation"),
            ChartType.MOVING_AVERAGE: gettext("Moving average (EWMA)"),
        }
        return words[self]


@dataclass(frozen=True, slots=True)
class Point:
    """A line of the table beside the chart: its number, its readings, its value, and the rules that it completes."""

    number: int
    readings: tuple[Reading, ...]
    value: Decimal
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Charts:
    """Everything that the readings of a characteristic say."""

    level: Picture
    spread: Picture | None
    points: tuple[Point, ...]
    stability: Stability
    assessment: Assessment | None
    """None where all readings are the same."""
    bars: Bars


@dataclass(frozen=True, slots=True)
class Asked:
    """Which chart, and how.

    Attributes:
        kind: which chart.
        size: readings in a subgroup, for charts of means.
        rules: the run rules that are looked for.
        base: indices of the readings that the limits come from; None: all.
    """

    kind: ChartType
    size: int
    rules: Collection[Rule]
    base: range | None = None


def draw_charts(charted: Charted, limits: Limits, asked: Asked) -> Charts:
    """Return the charts of some readings against the limits of their characteristic.

    Raises:
        BadInputError: too few readings, or a base period without enough of them.
    """
    if asked.kind in {ChartType.MEAN_RANGE, ChartType.MEAN_DEVIATION}:
        return _of_means(charted, limits, asked)
    values, seams, places = charted.values, seams_of(charted.lots), limits.places + 1
    chart = individuals_chart(values, asked.rules, asked.base)
    if asked.kind is ChartType.MOVING_AVERAGE:
        level, spread = ewma_picture(ewma_chart(values, base=asked.base), places, seams), None
    else:
        level = track_picture(chart.level, Plot(len(values), LEVEL, places, asked.base, seams), limits)
        spread = track_picture(chart.spread, Plot(len(values), SPREAD, places))
    return _charts(chart, limits, (level, spread), [(each,) for each in charted.readings], values)


def _of_means(charted: Charted, limits: Limits, asked: Asked) -> Charts:
    size, values, places = asked.size, charted.values, limits.places + 1
    groups = complete_subgroups(values, size)
    base = _whole_groups(asked.base, size)
    draw = mean_range_chart if asked.kind is ChartType.MEAN_RANGE else mean_deviation_chart
    chart = draw(groups, asked.rules, base)
    seams = [(index, name) for index, name in seams_of(charted.lots, size) if index < len(groups)]
    level = track_picture(chart.level, Plot(len(groups), LEVEL, places, base, seams))
    spread = track_picture(chart.spread, Plot(len(groups), SPREAD, places))
    taken = [tuple(charted.readings[at : at + size]) for at in range(0, len(groups) * size, size)]
    return _charts(chart, limits, (level, spread), taken, values)


def _whole_groups(base: range | None, size: int) -> range | None:
    """Return the subgroups that lie wholly in a base period."""
    if base is None:
        return None
    first = -(-base[0] // size)
    return range(first, max(first, (base[-1] + 1) // size))


def _charts(
    chart: ControlChart,
    limits: Limits,
    drawn: tuple[Picture, Picture | None],
    groups: Sequence[tuple[Reading, ...]],
    values: Sequence[Decimal],
) -> Charts:
    places = limits.places + (1 if chart.subgroup_size > 1 else 0)
    points = tuple(
        Point(
            index + 1,
            readings,
            _shown(readings, places),
            tuple(each.rule for each in chart.level.signals if each.point == index),
        )
        for index, readings in enumerate(groups)
    )
    try:
        assessment = assess(chart, limits)
    except BadInputError:
        assessment = None
    return Charts(*drawn, points, chart.stability(), assessment, histogram_picture(values, limits))


def _shown(readings: tuple[Reading, ...], places: int) -> Decimal:
    values = [Decimal(each.typed) for each in readings]
    return values[0] if len(values) == 1 else round(sum(values, Decimal(0)) / len(values), places)
