"""Calendars laid out as spans: when a station is attended, and when its work goes on; the wall clock of receiving."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import replace
from itertools import accumulate

from app.core.calendar_hours import Downtime, OpenHours
from app.core.calendars import CLOSED_DAYS_LIMIT, HORIZON_S, WorkCalendar
from app.core.planning.flattening import Days, Hours
from app.core.shop import Crew, Shop, Station
from app.core.work_hours import People, WorkHours, alone_s
from app.core.worktime import Span

DAY_S = 86_400
LONGEST_DAYS = HORIZON_S // DAY_S
CLOSED_S = CLOSED_DAYS_LIMIT * DAY_S


class Layout:
    """The spans of every calendar of a shop, for so many days from its ``now``; each laid out once."""

    def __init__(self, shop: Shop, days: int) -> None:
        self.shop = shop
        self.until = shop.now + days * DAY_S
        self.longest = days >= LONGEST_DAYS
        self._spans: list[list[Span]] = []
        self._whole: list[bool] = []
        self._known: dict[object, int] = {}
        self._window = Span(shop.now, self.until)
        self.people = None if shop.people is None else People(map(self._until_gone, shop.people))

    def attended(self, station: Station) -> int:
        """Return the number of the calendar of a station's attended time."""
        hours = station.calendar.hours
        key = ("attended", hours)
        if key not in self._known:
            self._add(key, self.work_hours(station).attended(self._window), hours)
        return self._known[key]

    def running(self, station: Station) -> int:
        """Return the number of the calendar in which a station's work goes on."""
        if not alone_s(station):
            return self.attended(station)
        hours = station.calendar.hours
        key = ("running", hours, station.unattended_s)
        if key not in self._known:
            self._add(key, self.work_hours(station).running(self._window), hours)
        return self._known[key]

    def work_hours(self, station: Station) -> WorkHours:
        """Return a station's hours, which may be asked about the past too."""
        return WorkHours.of(station, self.people)

    def plain(self, calendar: WorkCalendar) -> int:
        """Return the number of a calendar as it is."""
        key = ("plain", calendar.hours)
        if key not in self._known:
            self._add(key, calendar.spans(*self._window), calendar.hours)
        return self._known[key]

    def spans(self, calendar: int) -> list[Span]:
        """Return the spans of a calendar, in seconds since the epoch."""
        return self._spans[calendar]

    def closed_from(self, calendar: int) -> int | None:
        """Return from when on a calendar is closed for good; None where it is not, as far as it is laid out."""
        spans = self._spans[calendar]
        last = spans[-1].end if spans else self.shop.now
        return last if self.until - last >= CLOSED_S else None

    def arrays(self) -> Hours:
        """Return all calendars as lists, in seconds from the shop's now."""
        now = self.shop.now
        calendars: list[list[int]] = []
        rows: list[list[int]] = []
        for spans, whole in zip(self._spans, self._whole, strict=True):
            calendars.append([len(rows), len(rows) + len(spans), int(whole or self.longest)])
            before = accumulate((span.end - span.start for span in spans), initial=0)
            rows += [[span.start - now, span.end - now, gone] for span, gone in zip(spans, before, strict=False)]
        return Hours(calendars, rows)

    def _until_gone(self, crew: Crew) -> Crew:
        """Return a crew without the hours after those for which it is gone for good."""
        closed = self.closed_from(self.plain(crew.calendar))
        if closed is None:
            return crew
        hours = crew.calendar.hours
        never = Downtime(closed, self.until)
        return replace(crew, calendar=WorkCalendar(replace(hours, downtimes=(*hours.downtimes, never))))

    def _add(self, key: object, spans: list[Span], hours: OpenHours) -> None:
        number = self._known[key] = len(self._spans)
        self._spans.append(until_closed(spans, self.shop.now))
        last = max((span.end for span in hours.overtime), default=0)
        closes = self.closed_from(number) is not None
        self._whole.append(closes or (not hours.shifts and last <= self.until))


def until_closed(spans: list[Span], now: int) -> list[Span]:
    """Return the spans before a closing that counts as one for good."""
    closed_since = now
    for place, span in enumerate(spans):
        if span.start - closed_since >= CLOSED_S:
            return spans[:place]
        closed_since = span.end
    return spans


def days_of(shop: Shop, layout: Layout) -> Days:
    """Return the wall clock of receiving, and the days on which goods come in."""
    hours = shop.receiving.hours
    receiving = layout.plain(shop.receiving)
    since, offsets = _offsets(hours, shop.now, layout.until)
    working: list[int] = []
    for start, end in layout.spans(receiving):
        for day in range(_local_day(hours, start), _local_day(hours, end - 1) + 1):
            if not working or day > working[-1]:
                working.append(day)
    return Days([each - shop.now for each in since], offsets, working, receiving)


def no_days(layout: Layout) -> Days:
    """Return what a shop without work elsewhere needs."""
    return Days([0], [0], [0], layout.plain(layout.shop.receiving))


def _local_day(hours: OpenHours, second: int) -> int:
    return (second + _offset(hours, second)) // DAY_S


def _offset(hours: OpenHours, second: int) -> int:
    delta = hours.local(second).utcoffset()
    return 0 if delta is None else round(delta.total_seconds())


def _offsets(hours: OpenHours, start: int, end: int) -> tuple[list[int], list[int]]:
    """Return from when on which offset from UTC holds; the first one from long ago."""
    since, offsets = [start - LONGEST_DAYS * DAY_S], [_offset(hours, start)]
    for day in _days(start, end):
        offset = _offset(hours, day + DAY_S)
        if offset != offsets[-1]:
            since.append(_first_second(hours, day, offset))
            offsets.append(offset)
    return since, offsets


def _days(start: int, end: int) -> Iterable[int]:
    return range(start, end, DAY_S)


def _first_second(hours: OpenHours, day: int, offset: int) -> int:
    """Return the second of the day from ``day`` on in which the offset changes."""
    return day + bisect_right(range(DAY_S), 0, key=lambda second: int(_offset(hours, day + second) == offset))
