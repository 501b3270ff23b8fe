"""Charts as pictures: paths, dots and rails in the units of an SVG. What they look like is the page's business."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Final

from app.core.measures import rounded
from app.core.quality.control_charts import Track
from app.core.quality.ewma import EwmaChart
from app.core.quality.histogram import histogram
from app.core.quality.picture import Axes, Bar, Frame, Scale, chart_axes, histogram_bars, nice_ticks
from app.core.quality.run_rules import Rule
from app.core.quality.tolerances import Limits
from app.shared.words import gettext

NAME_WIDTH: Final = 64
LEVEL: Final = Frame(left=76, top=26, width=830, height=250)
SPREAD: Final = Frame(left=76, top=14, width=830, height=130)
BARS: Final = Frame(left=24, top=24, width=952, height=210)


@dataclass(frozen=True, slots=True)
class Dot:
    """A point of a chart: its place, its number from 0, and the rules that it completes."""

    x: Decimal
    y: Decimal
    index: int
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Rail:
    """A level line with its name and value; ``kind`` is center, limit or tolerance."""

    y: Decimal
    kind: str
    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart of points."""

    frame: Frame
    path: str
    dots: tuple[Dot, ...]
    rails: tuple[Rail, ...]
    ticks: tuple[tuple[Decimal, str], ...]
    base: tuple[Decimal, Decimal] | None
    """Left edge and width of the base period, where one was chosen."""
    seams: tuple[tuple[Decimal, str], ...]
    """Where another lot begins, and its name."""
    steps: str = ""
    """Limits that change from point to point."""


@dataclass(frozen=True, slots=True)
class Bars:
    """A histogram against the limits."""

    frame: Frame
    bars: tuple[tuple[Bar, int], ...]
    rails: tuple[tuple[Decimal, str, str], ...]
    """Upright lines: x, kind, value."""
    ticks: tuple[tuple[Decimal, str], ...]
    below: int
    within: int
    above: int


@dataclass(frozen=True, slots=True)
class Plot:
    """Where a row of points is drawn.

    Attributes:
        positions: how many points there is room for.
        frame: the rectangle.
        places: how finely values are written.
        base: positions of the base period, where one was chosen.
        seams: positions at which another lot begins, and its name.
    """

    positions: int
    frame: Frame
    places: int
    base: range | None = None
    seams: Sequence[tuple[int, str]] = ()


def track_picture(track: Track, plot: Plot, limits: Limits | None = None) -> Picture:
    """Return the picture of a row of points with its control limits, and with the tolerance where it is given."""
    control = track.limits
    tolerance = [each for each in (limits.lower, limits.upper) if each is not None] if limits else []
    seen = [*track.points, control.lower, control.center, control.upper, *map(Fraction, tolerance)]
    axes = chart_axes(seen, plot.positions, plot.frame)
    at = axes.line(track.points, track.offset)
    rules = {index: tuple(each.rule for each in track.signals if each.point == index) for index in range(len(at))}
    dots = tuple(Dot(x, y, index + track.offset, rules[index]) for index, (x, y) in enumerate(at))
    return Picture(
        frame=plot.frame,
        path=_path(at),
        dots=dots,
        rails=_rails(axes, (control.lower, control.center, control.upper), plot.places, tolerance),
        ticks=tuple((axes.y.at(tick), f"{tick:f}") for tick in axes.ticks),
        base=_stretch(axes, plot.base) if plot.base else None,
        seams=_seams(axes, plot.seams),
    )


def ewma_picture(chart: EwmaChart, places: int, seams: Sequence[tuple[int, str]] = ()) -> Picture:
    """Return the picture of weighted moving averages with their widening limits."""
    axes = chart_axes([*chart.points, *chart.lower, *chart.upper], len(chart.points), LEVEL)
    at = axes.line(chart.points)
    beyond = set(chart.beyond)
    dots = (Dot(x, y, index, (Rule.BEYOND_LIMIT,) if index in beyond else ()) for index, (x, y) in enumerate(at))
    return Picture(
        frame=LEVEL,
        path=_path(at),
        dots=tuple(dots),
        rails=_rails(axes, (chart.steady_lower, chart.center, chart.steady_upper), places, ()),
        ticks=tuple((axes.y.at(tick), f"{tick:f}") for tick in axes.ticks),
        base=None,
        seams=_seams(axes, seams),
        steps=f"{_path(axes.line(chart.lower))} {_path(axes.line(chart.upper))}",
    )


def histogram_picture(values: Sequence[Decimal], limits: Limits) -> Bars:
    """Return the histogram of readings with the tolerance limits as upright lines."""
    found = histogram(values, limits)
    ends = [found.bins[0].low, found.bins[-1].high]
    ends += [Fraction(each) for each in (limits.lower, limits.upper) if each is not None]
    room = (max(ends) - min(ends)) / 20
    ticks = nice_ticks(min(ends) - room, max(ends) + room, 8)
    x = Scale(Fraction(ticks[0]), Fraction(ticks[-1]), BARS.left, BARS.left + BARS.width)
    named = ((limits.lower, "limit"), (limits.nominal, "nominal"), (limits.upper, "limit"))
    return Bars(
        frame=BARS,
        bars=tuple(zip(histogram_bars(found.bins, x, BARS), (each.count for each in found.bins), strict=True)),
        rails=tuple((x.at(value), kind, str(value)) for value, kind in named if value is not None),
        ticks=tuple((x.at(tick), f"{tick:f}") for tick in ticks),
        below=found.below,
        within=found.within,
        above=found.above,
    )


def _path(at: Sequence[tuple[Decimal, Decimal]]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in at)


def _stretch(axes: Axes, base: range) -> tuple[Decimal, Decimal]:
    left, right = axes.x.at(Fraction(2 * base[0] - 1, 2)), axes.x.at(Fraction(2 * base[-1] + 1, 2))
    return left, right - left


def _seams(axes: Axes, seams: Sequence[tuple[int, str]]) -> tuple[tuple[Decimal, str], ...]:
    """Return where lots begin; a name that would run into the next one is left out."""
    at = [(axes.x.at(Fraction(2 * index - 1, 2)), name) for index, name in seams]
    nexts = [*(x for x, _ in at[1:]), Decimal(axes.x.end)]
    return tuple((x, name if after - x >= NAME_WIDTH else "") for (x, name), after in zip(at, nexts, strict=False))


def _rails(
    axes: Axes, control: tuple[Fraction, Fraction, Fraction], places: int, tolerance: Sequence[Decimal]
) -> tuple[Rail, ...]:
    lower, center, upper = control
    named = [
        ("limit", gettext("upper"), upper),
        ("center", gettext("mean"), center),
        ("limit", gettext("lower"), lower),
    ]
    rails = [Rail(axes.y.at(value), kind, name, str(rounded(value, places))) for kind, name, value in named]
    rails += [Rail(axes.y.at(each), "tolerance", gettext("tolerance"), f"{each:f}") for each in tolerance]
    return tuple(rails)


def seams_of(names: Sequence[str], step: int = 1) -> list[tuple[int, str]]:
    """Return where another lot begins among points of ``step`` readings each, with its name; the first one at 0."""
    begins = [0, *(index for index, (one, other) in enumerate(pairwise(names), start=1) if one != other)]
    at: dict[int, str] = {}
    for index in begins if names else []:
        at[index // step] = names[index]
    return sorted(at.items())
