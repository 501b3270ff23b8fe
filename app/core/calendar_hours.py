"""When a station is meant to be open: weekly shifts on the wall clock, closed days, overtime and downtime."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from app.core.worktime import Span, clipped, merged, without

ONE_DAY = timedelta(days=1)


@lru_cache
def zone_info(name: str) -> ZoneInfo:
    """Return the IANA time zone ``name``.

    Raises:
        ValueError: there is no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError(f"{name!r} is not an IANA time zone such as America/Chicago.") from error


@dataclass(frozen=True, slots=True)
class Shift:
    """Hours that come back each week: from ``start`` on ``weekday`` (0 is Monday) to ``end``, on the shop's wall clock.

    An end that is not after the start lies on the next day, so 22:00 to 06:00 crosses midnight and 00:00 to 00:00 is a
    whole day. A time that the clock skips in spring moves forward by what is skipped; one that it passes twice in
    autumn is the first of the two, for a start and an end alike, so that shifts which follow each other still do.
    """

    weekday: int
    start: time
    end: time

    def __post_init__(self) -> None:
        if self.weekday not in range(7):
            raise ValueError(f"A weekday is 0 (Monday) to 6 (Sunday), not {self.weekday}.")
        if self.start.tzinfo or self.end.tzinfo:
            raise ValueError("A shift's times are wall-clock times without a zone of their own.")

    def on(self, day: date, zone: ZoneInfo) -> Span:
        """Return the seconds of the shift that starts on ``day``; none (end before start) where the clock skips it."""
        last_day = day if self.end > self.start else day + ONE_DAY
        return Span(wall_clock_second(day, self.start, zone), wall_clock_second(last_day, self.end, zone))


@dataclass(frozen=True, slots=True)
class Downtime:
    """A stretch ``[start, end)`` in which a station cannot run.

    Attributes:
        start: its first second.
        end: the first second after it.
        guess: whether nobody knows the end for sure.
        planned: whether it is a service that was planned, not a breakdown.
    """

    start: int
    end: int
    guess: bool = False
    planned: bool = False

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise ValueError("A downtime must end after it starts.")


@dataclass(frozen=True, slots=True)
class OpenHours:
    """The rules a calendar is made from.

    A closed day is a whole local day: the shifts that start on it are dropped, also the part of one that lies after
    midnight; a shift that started the evening before still ends on it. Overtime is open whatever the shifts and closed
    days say. Downtime is closed whatever the rest says.

    Attributes:
        zone: IANA name of the zone whose wall clock the shifts follow.
        shifts: the week; they may overlap, an hour then counts once.
        closed_days: local days whose shifts are dropped.
        overtime: extra open stretches, seconds since the epoch.
        downtimes: stretches without work.

    Raises:
        ValueError: the zone is unknown, or an overtime does not end after it starts.
    """

    zone: str
    shifts: tuple[Shift, ...] = ()
    closed_days: frozenset[date] = frozenset()
    overtime: tuple[Span, ...] = ()
    downtimes: tuple[Downtime, ...] = ()
    _by_weekday: tuple[tuple[Shift, ...], ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        zone_info(self.zone)
        if any(span.end <= span.start for span in self.overtime):
            raise ValueError("Overtime must end after it starts.")
        by_weekday = (tuple(s for s in self.shifts if s.weekday == day) for day in range(7))
        object.__setattr__(self, "_by_weekday", tuple(by_weekday))

    def midnight(self, day: date) -> int:
        """Return the second at which the local ``day`` begins."""
        return wall_clock_second(day, time.min, zone_info(self.zone))

    def local(self, second: int) -> datetime:
        """Return ``second`` on the local wall clock."""
        return datetime.fromtimestamp(second, zone_info(self.zone))

    def open_spans(self, first: date, days: int) -> list[Span]:
        """Return the open spans within the ``days`` local days from ``first`` on, ascending, none touching another."""
        window = Span(self.midnight(first), self.midnight(first + timedelta(days=days)))
        # The day before belongs to it as well: its last shift may reach over midnight.
        shifts = [span for offset in range(-1, days) for span in self.shifts_on(first + timedelta(days=offset))]
        down = (Span(downtime.start, downtime.end) for downtime in self.downtimes)
        return without(clipped(merged([*shifts, *self.overtime]), window), down)

    def shifts_on(self, day: date) -> list[Span]:
        """Return the shifts that start on a local day; none on a closed one."""
        if day in self.closed_days:
            return []
        zone = zone_info(self.zone)
        return [shift.on(day, zone) for shift in self._by_weekday[day.weekday()]]


def wall_clock_second(day: date, at: time, zone: ZoneInfo) -> int:
    """Return the UTC second of a local time; see Shift for times that the clock skips or passes twice."""
    # fold=0 gives the first of two equal times, and carries the offset before the gap into a skipped one (PEP 495).
    local = datetime.combine(day, at.replace(fold=0), tzinfo=zone)
    return int(local.astimezone(UTC).timestamp())
