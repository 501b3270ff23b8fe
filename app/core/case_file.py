"""Reads the planning cases of ``shop_cases.py``: small shops of single operations with calendars of open stretches.

::

    {"name": "moderate-1", "calendars": [[[420, 690], ...], ...], "station_calendar": [0, 2, ...],
     "lots": [{"release": 0, "due": 5280, "weight": 2, "operations": [[3, 45], [0, 120], ...]}, ...]}

Times are minutes from a Monday 00:00. ``station_calendar[k]`` is the calendar of station k; an operation is a pair of
station and minutes of work. In the shop that is made a minute is sixty seconds, ``now`` is 0, and keys are numbers.
Figures are bounded as those of a problem file are.
"""

from dataclasses import dataclass
from typing import Any

from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.planning.problem_file import check_bounds
from app.core.planning.reading import BadFileError, at, check_most, read_object
from app.core.shop import Lot, Operation, Shop, Station
from app.core.taking import SinglePiece
from app.core.worktime import Span

_MINUTE = 60
_MS = 1000


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
    calendars = [_calendar(at("calendars", place), spans) for place, spans in enumerate(case.calendars)]
    for station, number in enumerate(case.station_calendar):
        _check_number(number, len(calendars), at("station_calendar", station), "calendar")
    stations = tuple(Station(str(n), str(n), calendars[number]) for n, number in enumerate(case.station_calendar))
    lots = tuple(_lot(n, lot, len(stations)) for n, lot in enumerate(case.lots))
    shop = Shop(0, stations, lots, WorkCalendar(OpenHours("UTC")))
    check_bounds(shop)
    return shop


def _calendar(path: str, spans: tuple[Span, ...]) -> WorkCalendar:
    for place, span in enumerate(spans):
        for end, minutes in enumerate(span):
            check_most(minutes, at(at(path, place), end), _MINUTE)
    stretches = tuple(Span(start * _MINUTE, end * _MINUTE) for start, end in spans)
    try:
        return WorkCalendar(OpenHours("UTC", overtime=stretches))
    except ValueError as error:
        raise BadFileError(path, str(error)) from error


def _lot(number: int, lot: CaseLot, stations: int) -> Lot:
    path = at("lots", number)
    check_most(lot.release, at(path, "release"), _MINUTE)
    check_most(lot.due, at(path, "due"), _MINUTE)
    for place, (station, minutes) in enumerate(lot.operations):
        here = at(at(path, "operations"), place)
        _check_number(station, stations, here, "station")
        check_most(minutes, at(here, 1), _MINUTE * _MS)
    operations = tuple(
        Operation(str(n), str(station), SinglePiece(minutes * _MINUTE * _MS), waiting=int(n == 0))
        for n, (station, minutes) in enumerate(lot.operations)
    )
    key, released, due = str(number), lot.release * _MINUTE, lot.due * _MINUTE
    return Lot(key, key, operations, released=released, due=due, weight=lot.weight)


def _check_number(number: int, count: int, path: str, what: str) -> None:
    if not 0 <= number < count:
        raise BadFileError(path, f"there is no {what} {number}; there are {count}, from 0.")
