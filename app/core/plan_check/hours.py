"""When people are at a station and when its work goes on, laid out day by day and slowly.

It shares nothing with ``app.core.calendars`` but the dataclasses that hold the rules of a calendar.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.core.calendar_hours import OpenHours
from app.core.plan_check.stretches import Stretch, covers, edges_of, kept

DAY = 86_400
FAR = 3_700 * DAY
"""Work that is not done within so many seconds, a little more than ten years, is never done."""
HORIZON = 3_660 * DAY
"""A plan looks so many seconds ahead; what is not done by then has no open hours."""
CLOSED_DAYS = 400
"""A station or a door that stays closed for so many days counts as one that never opens."""


LayOut = Callable[[Stretch], list[Stretch]]
"""What gives the stretches that count inside a window."""


class NeverDoneError(Exception):
    """There are not enough seconds for the work within ten years."""


class Timeline:
    """Seconds that count, asked for a day at a time from ``lay_out(window)`` and kept."""

    def __init__(self, lay_out: LayOut) -> None:
        self._lay_out = lay_out
        self._days: dict[int, list[Stretch]] = {}

    def within(self, start: int, end: int) -> list[Stretch]:
        """Return the stretches that count inside ``[start, end)``; those of two days may touch."""
        days = range(start // DAY, -(-end // DAY))
        cut = ((max(start, first), min(end, last)) for day in days for first, last in self._of(day))
        return [(first, last) for first, last in cut if first < last]

    def has(self, second: int) -> bool:
        """Tell whether ``[second, second + 1)`` counts."""
        return covers(self._of(second // DAY), second)

    def count(self, start: int, end: int) -> int:
        """Return how many seconds of ``[start, end)`` count."""
        return sum(last - first for first, last in self.within(start, end))

    def done_at(self, start: int, work: int) -> int:
        """Return when ``work`` seconds that count are over, from ``start`` on; ``start`` when there are none to do.

        Raises:
            NeverDoneError: there are not so many within ten years.
        """
        if work <= 0:
            return start
        for day in range(start // DAY, (start + FAR) // DAY):
            for opens, closes in self._of(day):
                begin = max(start, opens)
                if closes - begin >= work:
                    return begin + work
                work -= max(0, closes - begin)
        raise NeverDoneError

    def next(self, second: int) -> int:
        """Return the first second that counts, at or after ``second``.

        Raises:
            NeverDoneError: there is none within ten years.
        """
        return self.done_at(second, 1) - 1

    def _of(self, day: int) -> list[Stretch]:
        if day not in self._days:
            self._days[day] = self._lay_out((day * DAY, (day + 1) * DAY))
        return self._days[day]


class Hours:
    """The rules of one calendar."""

    def __init__(self, rules: OpenHours) -> None:
        self.rules = rules
        self.zone = ZoneInfo(rules.zone)
        self._down = sorted((down.start, down.end) for down in rules.downtimes)

    def meant_open(self, window: Stretch) -> list[Stretch]:
        """Return shifts and overtime inside a window, whatever is down."""
        first, last = self.local(window[0]).date(), self.local(window[1]).date()
        days = [first + timedelta(days=n) for n in range(-2, (last - first).days + 1)]
        shifts = [stretch for day in days if day not in self.rules.closed_days for stretch in self._shifts(day)]
        stretches = [*shifts, *((extra.start, extra.end) for extra in self.rules.overtime)]
        return kept(window, edges_of(stretches), lambda second: covers(stretches, second))

    def down(self, window: Stretch) -> list[Stretch]:
        """Return the downtimes that touch a window."""
        return [(start, end) for start, end in self._down if start < window[1] and window[0] < end]

    def open(self, window: Stretch) -> list[Stretch]:
        """Return what of shifts and overtime is not down."""
        return less(window, self.meant_open(window), self.down(window))

    def local(self, second: int) -> datetime:
        """Return a second on the wall clock."""
        return datetime.fromtimestamp(second, self.zone)

    def wall(self, day: date, since_midnight: timedelta) -> int:
        """Return the second in which the wall clock shows a time of a day; see ``Shift`` for times it skips."""
        naive = datetime(day.year, day.month, day.day) + since_midnight  # noqa: DTZ001 - the zone follows
        return int(naive.replace(tzinfo=self.zone).timestamp())

    def _shifts(self, day: date) -> list[Stretch]:
        found = []
        for shift in self.rules.shifts:
            if shift.weekday == day.weekday():
                starts, ends = (
                    timedelta(hours=at.hour, minutes=at.minute, seconds=at.second) for at in (shift.start, shift.end)
                )
                found.append((self.wall(day, starts), self.wall(day, ends if ends > starts else ends + timedelta(1))))
        return found


class _UntilClosed:
    """The seconds that ``lay_out`` gives, up to a time without any that lasts so long that it counts as for good."""

    def __init__(self, lay_out: LayOut, now: int) -> None:
        self._timeline = Timeline(lay_out)
        self._seen_until = self._last = now
        self._closed = False

    def within(self, window: Stretch) -> list[Stretch]:
        """Return them inside a window."""
        while self._seen_until < window[1] and not self._closed:
            self._look_further()
        return [(start, end) for start, end in self._timeline.within(*window) if start < self._last or not self._closed]

    def _look_further(self) -> None:
        """Look at one more day."""
        until, long = self._seen_until + DAY, CLOSED_DAYS * DAY
        for start, end in self._timeline.within(self._seen_until, until):
            if start - self._last >= long:
                self._closed = True
                return
            self._last = end
        self._seen_until, self._closed = until, until - self._last >= long


def until_closed(lay_out: LayOut, now: int) -> Timeline:
    """Return the seconds that ``lay_out`` gives; what is without any for CLOSED_DAYS from ``now`` on is so for good."""
    return Timeline(_UntilClosed(lay_out, now).within)


def less(window: Stretch, stretches: Sequence[Stretch], holes: Sequence[Stretch]) -> list[Stretch]:
    """Return the seconds of a window that are in ``stretches`` and not in ``holes``."""
    return kept(window, edges_of(stretches, holes), lambda at: covers(stretches, at) and not covers(holes, at))


def both(window: Stretch, ones: Sequence[Stretch], others: Sequence[Stretch]) -> list[Stretch]:
    """Return the seconds of a window that are in both."""
    return kept(window, edges_of(ones, others), lambda at: covers(ones, at) and covers(others, at))


class StationHours:
    """The hours of a station.

    Attributes:
        attended: its calendar's seconds; where people are named those in which some crew is there.
        running: those in which its work goes on: the attended ones, and a while after each closing where it may.
    """

    def __init__(self, station: OpenHours, crews: Sequence[Timeline] | None, unattended_s: int, now: int) -> None:
        self._station = Hours(station)
        self._crews = crews
        self._alone_s = unattended_s
        self.attended = until_closed(self._attended, now)
        self.running = until_closed(self._running, now) if unattended_s else self.attended

    def stays_closed(self, since: int) -> bool:
        """Tell whether it is closed for good from a second on."""
        return not self.attended.count(since, since + CLOSED_DAYS * DAY)

    def without_pauses(self, since: int) -> Iterator[Stretch]:
        """Yield the attended stretches without a pause in that time."""
        begun = at = since
        for start, end in self.attended.within(since, since + CLOSED_DAYS * DAY):
            if start > at:
                if begun < at:
                    yield begun, at
                begun = start
            at = end
        if begun < at:
            yield begun, at

    def _meant(self, window: Stretch) -> list[Stretch]:
        """Return when people are meant to be there, whatever is down at the station."""
        meant = self._station.meant_open(window)
        if self._crews is None:
            return meant
        there = [stretch for crew in self._crews for stretch in crew.within(*window)]
        return both(window, meant, there)

    def _attended(self, window: Stretch) -> list[Stretch]:
        return less(window, self._meant(window), self._station.down(window))

    def _running(self, window: Stretch) -> list[Stretch]:
        """Return when work goes on: each closing is followed by a while in which the machine runs alone."""
        wide = (window[0] - self._alone_s - 1, window[1])  # a second more, to see what is closing at its start
        alone = [self._alone_after(end) for _, end in self._meant(wide) if end < wide[1]]
        runs = [*self._attended(window), *alone]
        return kept(window, edges_of(runs), lambda second: covers(runs, second))

    def _alone_after(self, closing: int) -> Stretch:
        """Return how long a machine goes on after a closing; a downtime ends it, for nobody starts it again."""
        end = closing + self._alone_s
        for down_from, _ in self._station.down((closing - 1, end)):
            end = min(end, max(closing, down_from))
        return closing, end
