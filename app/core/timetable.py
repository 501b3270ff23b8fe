"""When something that is done at set times of the day is due next."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from app.core.calendar_hours import ONE_DAY, wall_clock_second, zone_info

HORIZON_DAYS = 400
"""So far ahead a next time is looked for: a shop that is closed for longer has none."""


@dataclass(frozen=True, slots=True)
class Timetable:
    """Times of day on the shop's wall clock, on some days of the week.

    A time that the clock skips in spring moves forward by what is skipped; one that it passes twice in autumn is the
    first of the two, so that each comes once a day.

    Attributes:
        zone: IANA name of the zone of the wall clock.
        times: the times of day, in any order.
        weekdays: the days of the week, 0 is Monday.
        closed_days: local days on which nothing is due.

    Raises:
        ValueError: the zone is unknown, a weekday is none, or a time has a zone of its own.
    """

    zone: str
    times: tuple[time, ...]
    weekdays: frozenset[int]
    closed_days: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        zone_info(self.zone)
        if not self.weekdays <= set(range(7)):
            raise ValueError(f"A weekday is 0 (Monday) to 6 (Sunday); one of {sorted(self.weekdays)} is not.")
        if any(at.tzinfo for at in self.times):
            raise ValueError("The times are wall-clock times without a zone of their own.")

    def next_after(self, moment: datetime) -> datetime | None:
        """Return the first time after ``moment`` (aware), in UTC; None where there is none within ``HORIZON_DAYS``."""
        zone = zone_info(self.zone)
        today = moment.astimezone(zone).date()
        # A skipped time may fall on the day after its own, so the day before can still have one to come.
        for offset in range(-1, HORIZON_DAYS):
            due = [at for at in self._on(today + offset * ONE_DAY) if at > moment]
            if due:
                return min(due)
        return None

    def _on(self, day: date) -> list[datetime]:
        if day.weekday() not in self.weekdays or day in self.closed_days:
            return []
        zone = zone_info(self.zone)
        return [datetime.fromtimestamp(wall_clock_second(day, at, zone), UTC) for at in self.times]
