"""When a planned service of a station falls due and takes its time: by days, or by the hours that the station ran.

By days it is due at the same wall-clock time so many days after it was last done. By hours it is due when the station
has run so long since; the time until then is reckoned in open hours, at the share of its open hours that the station
ran lately (a station that has not run yet is reckoned as running all of them). A service begins at the first open hour
once it is due; one that is overdue is expected at the beginning of the next open stretch, not in the middle of this
one. Later ones follow at the same distance from the one before.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from app.core.calendar_hours import wall_clock_second, zone_info
from app.core.calendars import NoOpenHoursError, WorkCalendar
from app.core.worktime import Span

MOST_AHEAD: Final = 60


@dataclass(frozen=True, slots=True)
class Rule:
    """A planned service: after ``every_days`` days, or after ``every_s`` seconds that the station ran; one of them.

    Attributes:
        takes_s: open seconds that it takes, one or more.
        last_done: when it was last done.
        every_days: days between two; 0 where hours decide.
        every_s: seconds of running between two; 0 where days decide.
        ran_s: seconds that the station ran since.
    """

    takes_s: int
    last_done: int
    every_days: int = 0
    every_s: int = 0
    ran_s: int = 0

    def __post_init__(self) -> None:
        if self.takes_s < 1 or min(self.every_days, self.every_s) != 0 or max(self.every_days, self.every_s) < 1:
            raise ValueError("A service takes time, and comes after days or after hours run.")


class Use(NamedTuple):
    """How long a station ran lately, of so many open seconds."""

    ran_s: int
    open_s: int


class Expected(NamedTuple):
    """A service to come: when it falls due, the time it takes, and whether that is a guess."""

    due: int
    span: Span
    guess: bool


def expected_services(rule: Rule, calendar: WorkCalendar, use: Use, now: int, until: int) -> list[Expected]:
    """Return the services that fall due before ``until``, the next one first; none where the station never opens."""
    found: list[Expected] = []
    try:
        for due in _due_times(rule, calendar, use, now, found):
            if due >= until or len(found) == MOST_AHEAD:
                break
            start = _after_this_stretch(calendar, now) if due <= now else calendar.next_open(due)
            span = Span(start, calendar.finish(start, rule.takes_s))
            found.append(Expected(due, span, guess=bool(rule.every_s) or due <= now))
    except NoOpenHoursError:
        pass
    return found


def _due_times(rule: Rule, calendar: WorkCalendar, use: Use, now: int, found: list[Expected]) -> Iterator[int]:
    """Yield when each is due; the later ones count from the end of the one before, the last of ``found``."""
    if rule.every_days:
        yield _days_after(calendar, rule.last_done, rule.every_days)
        while True:
            yield _days_after(calendar, found[-1].span.end, rule.every_days)
    left = rule.every_s - rule.ran_s
    yield now if left <= 0 else calendar.finish(now, _open_time(left, use))
    while True:
        yield calendar.finish(found[-1].span.end, _open_time(rule.every_s, use))


def _open_time(ran_s: int, use: Use) -> int:
    """Return the open seconds in which the station runs for ``ran_s`` seconds, rounded up."""
    if not 0 < use.ran_s < use.open_s:
        return ran_s
    return -(-ran_s * use.open_s // use.ran_s)


def _days_after(calendar: WorkCalendar, second: int, days: int) -> int:
    local = calendar.hours.local(second)
    day = local.date().fromordinal(local.toordinal() + days)
    return wall_clock_second(day, local.time(), zone_info(calendar.hours.zone))


def _after_this_stretch(calendar: WorkCalendar, now: int) -> int:
    """Return the beginning of the first open stretch that begins after ``now``."""
    if not calendar.is_open(now):
        return calendar.next_open(now)
    end = now
    for span in calendar.spans(now, now + 2 * 86_400):
        if span.start > end:
            return span.start
        end = span.end
    return calendar.next_open(end)
