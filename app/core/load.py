"""How loaded the stations are in a plan, week by week, and which of them holds up the shop.

Weeks begin on Monday, midnight of the shop's zone. A second counts once, however many runs share it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from app.core.calendar_hours import OpenHours
from app.core.planning.layout import DAY_S, Layout
from app.core.planning.result_file import PlannedRun
from app.core.shop import Shop, Station
from app.core.work_hours import both
from app.core.worktime import Span, clipped, merged


@dataclass(frozen=True, slots=True)
class StationWeek:
    """What a station does in a week.

    Attributes:
        station: its key.
        week: the second in which the week begins.
        open_s: open seconds from the plan's ``now`` on.
        busy_s: those of them in which it sets up or works.
        setup_s: those of them in which it sets up.
        alone_s: further seconds of work after people have left.
    """

    station: str
    week: int
    open_s: int
    busy_s: int
    setup_s: int
    alone_s: int

    @property
    def utilisation(self) -> float | None:
        """Share of the open seconds that it is busy; None when it does not open."""
        return self.busy_s / self.open_s if self.open_s else None


def load_by_week(shop: Shop, planned: Sequence[PlannedRun]) -> tuple[StationWeek, ...]:
    """Return what every station of a shop does in each week up to the end of what is planned, station by station."""
    last = max((run.end for run in planned if run.station is not None), default=shop.now)
    weeks = _weeks(shop.receiving.hours, shop.now, last)
    layout = Layout(shop, -(-(weeks[-1].end - shop.now) // DAY_S))
    runs: dict[str, list[PlannedRun]] = {}
    for run in planned:
        if run.station is not None:
            runs.setdefault(run.station, []).append(run)
    return tuple(
        one for station in shop.stations for one in _station_weeks(layout, station, runs.get(station.key, []), weeks)
    )


def bottleneck(weeks: Iterable[StationWeek]) -> str | None:
    """Return the station with the largest share of its open hours busy, over all weeks given; None when none is.

    Of equals the first. Give it the weeks that matter: over the whole plan a station with one long job at its end
    looks idle.
    """
    open_s: dict[str, int] = {}
    busy_s: dict[str, int] = {}
    for one in weeks:
        open_s[one.station] = open_s.get(one.station, 0) + one.open_s
        busy_s[one.station] = busy_s.get(one.station, 0) + one.busy_s
    busy = {key: busy_s[key] / open_s[key] for key in open_s if open_s[key] and busy_s[key]}
    return max(busy, key=busy.__getitem__) if busy else None


def _weeks(hours: OpenHours, start: int, end: int) -> list[Span]:
    """Return the weeks from that of ``start`` to that before ``end``, one at least."""
    today = hours.local(start).date()
    monday = today - timedelta(days=today.weekday())
    weeks = []
    while True:
        following = monday + timedelta(days=7)
        weeks.append(Span(hours.midnight(monday), hours.midnight(following)))
        if weeks[-1].end >= end:
            return weeks
        monday = following


def _station_weeks(
    layout: Layout, station: Station, runs: Sequence[PlannedRun], weeks: Sequence[Span]
) -> Iterable[StationWeek]:
    """Return the weeks of a station."""
    opened = layout.spans(layout.plain(station.calendar))
    attended, running = (layout.spans(which(station)) for which in (layout.attended, layout.running))
    taken = both(merged(Span(run.start, run.end) for run in runs), running)
    setting_up = both(merged(_setup(run, attended) for run in runs), attended)
    busy = both(taken, opened)
    for week in weeks:
        inside = _seconds(busy, week)
        yield StationWeek(
            station.key,
            week.start,
            _seconds(opened, week),
            inside,
            _seconds(setting_up, week),
            _seconds(taken, week) - inside,
        )


def _setup(run: PlannedRun, attended: Iterable[Span]) -> Span:
    """Return from when to when a run is set up, closed hours between included."""
    left = run.setup_s
    for span in clipped(attended, Span(run.start, run.end)):
        if left <= span.end - span.start:
            return Span(run.start, span.start + left)
        left -= span.end - span.start
    return Span(run.start, run.start if run.setup_s == 0 else run.end)


def _seconds(spans: Iterable[Span], window: Span) -> int:
    return sum(span.end - span.start for span in clipped(spans, window))
