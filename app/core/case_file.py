"""Reads the planning cases of ``shop_cases.py``: small shops of single operations with calendars of open stretches.

::

    {"name": "moderate-1", "calendars": [[[420, 690], ...], ...], "station_calendar": [0, 2, ...],
     "lots": [{"release": 0, "due": 5280, "weight": 2, "operations": [[3, 45], [0, 120], ...]}, ...]}

Times are minutes from a Monday 00:00. ``station_calendar[k]`` is the calendar of station k; an operation is a pair of
station and minutes of work. In the shop that is made a minute is sixty seconds, ``now`` is 0, and keys are numbers.
"""

from dataclasses import dataclass
from typing import Any

from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.planning.reading import BadFileError, at, read_object
from app.core.shop import Lot, Operation, Shop, Station
from app.core.taking import SinglePiece
from app.core.worktime import Span

_MINUTE = 60


@dataclass(frozen=True, slots=True)
class CaseLot:
    """A lot of a case, in minutes."""

    release: int
    due: int
    weight: int
    operations: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Case:
    """A case, in minutes."""

    calendars: tuple[tuple[Span, ...], ...]
    station_calendar: tuple[int, ...]
    lots: tuple[CaseLot, ...]
    name: str = ""


def shop_of_case(document: Any) -> Shop:
    """Return the shop that a case, as JSON has it, describes.

    Raises:
        BadFileError: a value is missing or wrong; the sentence says where.
    """
    case: Case = read_object(Case, document, "", {})
    calendars = [_calendar(spans) for spans in case.calendars]
    for station, number in enumerate(case.station_calendar):
        _check_number(number, len(calendars), at("station_calendar", station), "calendar")
    stations = tuple(Station(str(n), str(n), calendars[number]) for n, number in enumerate(case.station_calendar))
    lots = tuple(_lot(n, lot, len(stations)) for n, lot in enumerate(case.lots))
    return Shop(0, stations, lots, WorkCalendar(OpenHours("UTC")))


def _calendar(spans: tuple[Span, ...]) -> WorkCalendar:
    stretches = tuple(Span(start * _MINUTE, end * _MINUTE) for start, end in spans)
    try:
        return WorkCalendar(OpenHours("UTC", overtime=stretches))
    except ValueError as error:
        raise BadFileError("calendars", str(error)) from error


def _lot(number: int, lot: CaseLot, stations: int) -> Lot:
    for place, (station, _) in enumerate(lot.operations):
        _check_number(station, stations, at(at(at("lots", number), "operations"), place), "station")
    operations = tuple(
        Operation(str(n), str(station), SinglePiece(minutes * _MINUTE * 1000), waiting=int(n == 0))
        for n, (station, minutes) in enumerate(lot.operations)
    )
    key, released, due = str(number), lot.release * _MINUTE, lot.due * _MINUTE
    return Lot(key, key, operations, released=released, due=due, weight=lot.weight)


def _check_number(number: int, count: int, path: str, what: str) -> None:
    if not 0 <= number < count:
        raise BadFileError(path, f"there is no {what} {number}; there are {count}, from 0.")
