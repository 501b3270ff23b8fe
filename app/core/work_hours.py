"""When people are at a station, and when its work goes on: its calendar beside the crews' and what runs unattended."""

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Final

from app.core.calendars import CLOSED_DAYS_LIMIT, NoOpenHoursError, WorkCalendar
from app.core.shop import Crew, OverClosed, Station
from app.core.worktime import Span, clipped, merged, without

_DAY: Final = 86_400
_STEP: Final = 28 * _DAY


class People:
    """When somebody of the crews is there; what was asked last is kept, as many stations ask the same."""

    def __init__(self, crews: Iterable[Crew]) -> None:
        self._calendars = tuple(crew.calendar for crew in crews)
        self.there: Callable[[Span], list[Span]] = cache(self._there)

    def _there(self, window: Span) -> list[Span]:
        return merged(span for calendar in self._calendars for span in calendar.spans(*window))


class WorkHours:
    """The attended and the running seconds of a station (see ``app.core.planning``)."""

    def __init__(self, calendar: WorkCalendar, alone_s: int, people: People | None) -> None:
        self._calendar, self._alone_s, self._people = calendar, alone_s, people

    @classmethod
    def of(cls, station: Station, people: People | None) -> "WorkHours":
        """Return those of a station; ``people`` is None where they do not limit the work."""
        return cls(station.calendar, alone_s(station), people)

    def attended(self, window: Span) -> list[Span]:
        """Return the spans of ``window`` in which people are there, ascending."""
        return self._with_people(self._calendar.spans(*window), window)

    def running(self, window: Span) -> list[Span]:
        """Return the spans of ``window`` in which work goes on, ascending: attended, each longer by what runs alone."""
        if not self._alone_s:
            return self.attended(window)
        earlier = Span(window.start - self._alone_s - _DAY, window.end)
        there = self._with_people(self._calendar.undisturbed.spans(*earlier), earlier)
        down = merged(Span(each.start, each.end) for each in self._calendar.hours.downtimes)
        alone = (Span(span.end, _until(span.end, self._alone_s, down)) for span in there)
        return clipped(merged([*without(there, down), *alone]), window)

    def worked(self, start: int, end: int, setup_s: int) -> int:
        """Return the seconds of a run in ``[start, end)``: of ``setup_s`` of set-up first, then of work."""
        left, at = _spend(self.attended(Span(start, end)), start, setup_s)
        if left:
            return setup_s - left
        return setup_s + sum(span.end - span.start for span in self.running(Span(at, end)))

    def spent(self, start: int, end: int, setup_s: int, work_s: int) -> tuple[int, int]:
        """Return what ``worked`` does, but no more than ``work_s`` of work; and when all was done, ``end`` if not."""
        left, at = _spend(self.attended(Span(start, end)), start, setup_s)
        if left:
            return setup_s - left, end
        left, at = _spend(self.running(Span(at, end)), at, work_s)
        return setup_s + work_s - left, end if left else at

    def end(self, start: int, setup_s: int, work_s: int) -> int:
        """Return when set-up and work from ``start`` on are done.

        Raises:
            NoOpenHoursError: the station does not go on long enough within CLOSED_DAYS_LIMIT days of either.
        """
        return _end(self.running, _end(self.attended, start, setup_s), work_s)

    def _with_people(self, spans: list[Span], window: Span) -> list[Span]:
        return spans if self._people is None else both(spans, self._people.there(window))


def alone_s(station: Station) -> int:
    """Return for how long the work of a station goes on when its people leave."""
    return station.unattended_s if station.over_closed is OverClosed.UNATTENDED else 0


def both(spans: Sequence[Span], others: Sequence[Span]) -> list[Span]:
    """Return where two ascending lists of spans are both open."""
    common: list[Span] = []
    at = 0
    for start, end in spans:
        while at < len(others) and others[at].end <= start:
            at += 1
        for other in others[at:]:
            if other.start >= end:
                break
            common.append(Span(max(start, other.start), min(end, other.end)))
    return common


def _until(closing: int, unattended_s: int, down: Sequence[Span]) -> int:
    """Return until when work goes on after a closing; a downtime that lasts until it, or begins later, ends it."""
    end = closing + unattended_s
    for span in down:
        if span.start < closing <= span.end:
            return closing
        if closing <= span.start < end:
            return span.start
    return end


def _spend(spans: Iterable[Span], at: int, seconds: int) -> tuple[int, int]:
    """Return how many of some seconds are left after ``spans``, and when the last of them was spent, if not before."""
    for span in spans:
        if not seconds:
            break
        spent = min(seconds, span.end - span.start)
        seconds, at = seconds - spent, span.start + spent
    return seconds, at


def _end(spans: Callable[[Span], list[Span]], start: int, seconds: int) -> int:
    at = start
    for opens in range(start, start + CLOSED_DAYS_LIMIT * _DAY, _STEP):
        seconds, at = _spend(spans(Span(opens, opens + _STEP)), at, seconds)
        if not seconds:
            return at
    raise NoOpenHoursError("It does not go on for long enough.")
