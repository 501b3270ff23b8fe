"""Open time as something to reckon with: when work ends that pauses while a station is closed."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from app.core.calendar_hours import ONE_DAY, OpenHours, wall_clock_second, zone_info
from app.core.worktime import Span, clipped, merged

_DAY: Final = 86_400
_STEP_DAYS: Final = 28
CLOSED_DAYS_LIMIT: Final = 400
"""A station that does not open for so many days running counts as one that never opens."""
_LONG_CLOSING: Final = CLOSED_DAYS_LIMIT * _DAY
_CLOSED: Final = f"There are no open hours within {CLOSED_DAYS_LIMIT} days."
_ENDED: Final = f"The open hours end before the work does, for {CLOSED_DAYS_LIMIT} days."
HORIZON_S: Final = 3_660 * _DAY
"""Work that is not done within so many seconds, some ten years, counts as work that never ends."""


class NoOpenHoursError(Exception):
    """The open hours do not hold the work: the station stays closed, or the work would take longer than ten years."""


@dataclass(frozen=True, slots=True)
class Pauses:
    """The seconds of a stretch without work: ``closed`` by the calendar, ``down``, or down for a planned ``service``.

    ``guess`` says that the end of one of its downtimes is a guess.
    """

    closed: int
    down: int
    guess: bool
    service: int = 0


class WorkCalendar:
    """The open time of one or several stations, laid out as far as anybody asks and no further; for one thread.

    Every method takes and gives whole seconds since the Unix epoch. Spans are found by bisection, work across spans by
    bisection on the open seconds before each, so a question costs the logarithm of the spans laid out so far.
    """

    __slots__ = ("_before", "_broken", "_down", "_ends", "_laid", "_long_closings", "_starts", "_undisturbed", "hours")

    def __init__(self, hours: OpenHours) -> None:
        self.hours = hours
        self._down = merged(Span(downtime.start, downtime.end) for downtime in hours.downtimes)
        self._broken = merged(Span(each.start, each.end) for each in hours.downtimes if not each.planned)
        self._laid = Span(0, 0)  # the stretch whose open spans are known
        self._starts: list[int] = []
        self._ends: list[int] = []
        self._before: list[int] = []  # open seconds before each span
        self._long_closings: list[int] = []  # spans before which it is closed for as long as for good
        self._undisturbed: WorkCalendar | None = None  # made when it is asked for

    def __repr__(self) -> str:
        return f"WorkCalendar({self.hours!r})"

    @property
    def undisturbed(self) -> "WorkCalendar":
        """The same open time without downtime."""
        if not self.hours.downtimes:
            return self
        if self._undisturbed is None:
            self._undisturbed = WorkCalendar(replace(self.hours, downtimes=()))
        return self._undisturbed

    def is_open(self, second: int) -> bool:
        """Tell whether work can go on in ``[second, second + 1)``."""
        self._lay_out(second)
        at = bisect_right(self._ends, second)
        return at < len(self._ends) and self._starts[at] <= second

    def next_open(self, second: int) -> int:
        """Return the first open second at or after ``second``.

        Raises:
            NoOpenHoursError: there is none within CLOSED_DAYS_LIMIT days.
        """
        return max(second, self._starts[self._span_at(second)])

    def finish(self, start: int, work: int) -> int:
        """Return when ``work`` open seconds that begin at or after ``start`` are done.

        Work that ends exactly at closing ends then, not at the next opening. No work ends at ``start``, open or not.

        Raises:
            NoOpenHoursError: the open hours do not hold the work.
            ValueError: ``work`` is negative.
        """
        if work <= 0:
            if work < 0:
                raise ValueError("Work cannot be negative.")
            return start
        at = self._span_at(start)
        opening = self._starts[at]
        begin = max(start, opening)
        if begin + work <= self._ends[at]:
            return begin + work
        total = self._before[at] + begin - opening + work
        self._lay_out_work(total, start)
        last = bisect_left(self._before, total, lo=at) - 1
        if any(at < place <= last for place in self._long_closings):
            raise NoOpenHoursError(_ENDED)
        return self._starts[last] + total - self._before[last]

    def work_between(self, start: int, end: int) -> int:
        """Return the open seconds in ``[start, end)``; none when it ends before it starts."""
        if end <= start:
            return 0
        self._lay_out(start)
        self._lay_out(end)
        return self._work_before(end) - self._work_before(start)

    def spans(self, start: int, end: int) -> list[Span]:
        """Return the open spans inside ``[start, end)``, ascending."""
        if end <= start:
            return []
        self._lay_out(start)
        self._lay_out(end)
        first, last = bisect_right(self._ends, start), bisect_left(self._starts, end)
        open_spans = map(Span, self._starts[first:last], self._ends[first:last])
        return clipped(open_spans, Span(start, end))

    def pauses(self, start: int, end: int) -> Pauses:
        """Return the seconds in ``[start, end)`` in which work rests, told apart by cause.

        A second inside a downtime is down, also one in which the shop would have been closed; one that is down and
        in a planned service besides is down.
        """
        rest = end - start - self.work_between(start, end) if start < end else 0
        if not rest or not self._down:
            return Pauses(rest, 0, guess=False)
        both = sum(span.end - span.start for span in clipped(self._down, Span(start, end)))
        down = sum(span.end - span.start for span in clipped(self._broken, Span(start, end)))
        guess = any(d.guess and d.start < end and start < d.end for d in self.hours.downtimes)
        return Pauses(rest - both, down, guess, both - down)

    def after_days(self, start: int, days: int, *, working_days: bool = False) -> int:
        """Return the first open second at or after the same wall-clock time ``days`` days later.

        Args:
            start: when the days begin to count.
            days: zero or more.
            working_days: count only local days that have open hours; else every day of the calendar counts.

        Raises:
            NoOpenHoursError: it does not open within CLOSED_DAYS_LIMIT days, then or between two working days, or the
                days go beyond HORIZON_S.
        """
        if days > HORIZON_S // _DAY:
            raise NoOpenHoursError("It is more than ten years ahead.")
        local = self.hours.local(start)
        day = local.date()
        if working_days:
            for _ in range(days):
                day = self.hours.local(self.next_open(self.hours.midnight(day + ONE_DAY))).date()
        else:
            day += timedelta(days=days)
        landing = wall_clock_second(day, local.time(), zone_info(self.hours.zone))
        return self.next_open(max(start, landing))

    def _span_at(self, second: int) -> int:
        """Return the index of the first span that ends after ``second``."""
        self._lay_out(second)
        at = bisect_right(self._ends, second)
        while at == len(self._ends):
            if self._laid.end > second + _LONG_CLOSING:
                raise NoOpenHoursError(_CLOSED)
            self._extend()
        if self._starts[at] >= second + _LONG_CLOSING:  # laid out for another question
            raise NoOpenHoursError(_CLOSED)
        return at

    def _work_before(self, second: int) -> int:
        """Return the open seconds laid out before ``second``, which lies in the laid-out stretch."""
        at = bisect_right(self._starts, second) - 1
        if at < 0:
            return 0
        return self._before[at] + min(second, self._ends[at]) - self._starts[at]

    def _lay_out(self, second: int) -> None:
        """Make sure that the open spans around ``second`` are known."""
        if second < self._laid.start or self._laid.start == self._laid.end:
            self._begin_at(second)
        while second >= self._laid.end:
            self._extend()

    def _lay_out_work(self, total: int, start: int) -> None:
        """Lay out until ``total`` open seconds are known, counted from the first span."""
        while self._before[-1] + self._ends[-1] - self._starts[-1] < total:
            if self._laid.end > self._ends[-1] + _LONG_CLOSING:
                raise NoOpenHoursError(_ENDED)
            if self._laid.end > start + HORIZON_S:
                raise NoOpenHoursError("It is more work than the open hours of ten years hold.")
            self._extend()

    def _begin_at(self, second: int) -> None:
        """Start the layout afresh with the local day of ``second``."""
        for column in (self._starts, self._ends, self._before, self._long_closings):
            column.clear()
        midnight = self.hours.midnight(self.hours.local(second).date())
        self._laid = Span(midnight, midnight)

    def _extend(self) -> None:
        """Lay out the next days; a span that touches the last one becomes part of it."""
        first = self.hours.local(self._laid.end).date()
        for start, end in self.hours.open_spans(first, _STEP_DAYS):
            if self._ends and self._ends[-1] == start:
                self._ends[-1] = end
                continue
            if self._ends and start >= self._ends[-1] + _LONG_CLOSING:
                self._long_closings.append(len(self._starts))
            done = self._before[-1] + self._ends[-1] - self._starts[-1] if self._ends else 0
            self._starts.append(start)
            self._ends.append(end)
            self._before.append(done)
        self._laid = Span(self._laid.start, self.hours.midnight(first + timedelta(days=_STEP_DAYS)))
