"""Small shops for tests, built with few words; their minutes count from Monday 5 January 2026 00:00 UTC."""

from collections.abc import Iterable
from datetime import UTC, datetime, time
from typing import Any

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.planning.results import Forecast, LotForecast, Reason, Run
from app.core.shop import Lot, Operation, Shop, SinglePiece, Station, Taking

MONDAY = int(datetime(2026, 1, 5, tzinfo=UTC).timestamp())
MINUTE, HOUR, DAY = 60, 3_600, 86_400
MIDNIGHT = time(0)


def at(minutes: float) -> int:
    """Return the second so many minutes after Monday 00:00."""
    return MONDAY + round(minutes * MINUTE)


def minutes(second: int | None) -> float | None:
    """Return the minutes from Monday 00:00 to a second."""
    return None if second is None else (second - MONDAY) / MINUTE


def hours_of(*shifts: tuple[str, str], days: Iterable[int] = range(5), zone: str = "UTC", **rules: Any) -> OpenHours:
    """Return the same shifts, such as ("06:00", "14:00"), on some days of the week."""
    week = (Shift(day, time.fromisoformat(start), time.fromisoformat(end)) for day in days for start, end in shifts)
    return OpenHours(zone, tuple(week), **rules)


def calendar(*shifts: tuple[str, str], **rules: Any) -> WorkCalendar:
    """Return the calendar of ``hours_of``."""
    return WorkCalendar(hours_of(*shifts, **rules))


def round_the_clock() -> WorkCalendar:
    """Return a calendar that never closes."""
    return calendar(("00:00", "00:00"), days=range(7))


def single(cycle_minutes: float) -> SinglePiece:
    """Return one piece at a time."""
    return SinglePiece(round(cycle_minutes * 60_000))


def station(key: str, work_center: str = "mill", **more: Any) -> Station:
    """Return a station that never closes, unless a calendar is given."""
    return Station(key, work_center, more.pop("calendar", None) or round_the_clock(), **more)


def operation(key: str, taking: Taking, work_center: str = "mill", **more: Any) -> Operation:
    """Return an operation; ``setup`` is in minutes."""
    return Operation(key, work_center, taking, setup_s=round(more.pop("setup", 0) * MINUTE), **more)


def lot(key: str, *operations: Operation, **more: Any) -> Lot:
    """Return a lot whose number is its key."""
    return Lot(key, key, operations, **more)


def shop(stations: Iterable[Station], *lots: Lot, now: int = MONDAY, receiving: WorkCalendar | None = None) -> Shop:
    """Return a shop whose receiving never closes, unless a calendar is given."""
    return Shop(now, tuple(stations), lots, receiving or round_the_clock())


def all_runs(forecast: Forecast) -> list[Run]:
    """Return every run of a forecast, by lot and operation."""
    return [run for one in forecast.lots.values() for planned in one.operations for run in planned.runs]


def times(forecast: LotForecast, key: str) -> list[tuple[float | None, float | None]]:
    """Return start and end of each run of an operation, in minutes."""
    runs = next(planned.runs for planned in forecast.operations if planned.key == key)
    return [(minutes(run.start), minutes(run.end)) for run in runs]


def told(reasons: Iterable[Reason]) -> list[tuple[str, str, float]]:
    """Return a chain as (cause, operation, minutes)."""
    return [(reason.cause.value, reason.operation, reason.seconds / MINUTE) for reason in reasons]
