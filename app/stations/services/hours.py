"""Set the weekly hours of stations."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import time
from itertools import pairwise

from sqlalchemy import orm

from app.shared.database import transaction
from app.stations import queries
from app.stations.errors import ShiftOverlapError
from app.stations.models import DAY_SECONDS, Shift, shift_seconds, weekday_name

_WEEK = 7 * DAY_SECONDS


@dataclass(frozen=True, slots=True)
class NewShift:
    """Weekly hours on the shop's wall clock from ``starts`` on ``weekday`` (0 is Monday).

    An end that is not after the start lies on the next day; the same time twice is a whole day.
    """

    weekday: int
    starts: time
    ends: time

    def __str__(self) -> str:
        """Name the shift as a person would: ``Mon 22:00–06:00``."""
        return f"{weekday_name(self.weekday)} {self.starts:%H:%M}–{self.ends:%H:%M}"

    @property
    def span(self) -> tuple[int, int]:
        """Return the first second of the shift in its week, and the first one after it (which may be next week's)."""
        first = self.weekday * DAY_SECONDS + self.starts.hour * 3600 + self.starts.minute * 60 + self.starts.second
        return first, first + shift_seconds(self.starts, self.ends)


def set_hours(session: orm.Session, station_ids: Collection[int], shifts: Sequence[NewShift]) -> None:
    """Make ``shifts`` the week of each of the stations; no shift at all means never open.

    Raises:
        ShiftOverlapError: two shifts overlap, the end of the week running into its start.
        StationNotFoundError: there is no such station.
    """
    refuse_overlap(shifts)
    with transaction(session):
        for station_id in sorted(station_ids):
            station = queries.get_station(session, station_id, lock=True)
            station.shifts = [Shift(weekday=each.weekday, starts=each.starts, ends=each.ends) for each in shifts]


def copy_hours(session: orm.Session, source_id: int, station_ids: Collection[int]) -> None:
    """Give each of the stations the weekly hours that another one has.

    Raises:
        StationNotFoundError: there is no such station.
    """
    with transaction(session):
        source = queries.get_station(session, source_id, lock=True)
        week = [NewShift(each.weekday, each.starts, each.ends) for each in source.shifts]
        set_hours(session, set(station_ids) - {source_id}, week)


def refuse_overlap(shifts: Sequence[NewShift]) -> None:
    """Check that no two shifts of a week share a second; the end of the week runs into its start.

    Raises:
        ShiftOverlapError: two do.
    """
    spans = sorted((*shift.span, place) for place, shift in enumerate(shifts))
    next_week = [(start + _WEEK, end + _WEEK, place) for start, end, place in spans[:1]]
    for (_start, end, place), (next_start, _end, next_place) in pairwise([*spans, *next_week]):
        if end > next_start:
            first, second = sorted((place, next_place))
            raise ShiftOverlapError(second, str(shifts[first]))
