"""A shop as a JSON file, so that a strange schedule can be sent, replayed and tested without the database.

::

    {"format": "lotwright problem", "version": 1,
     "now": 1772463600,
     "calendars": {
       "days": {"zone": "America/Chicago",
                "shifts": [{"weekday": 0, "start": "07:00", "end": "15:30"}],
                "closed_days": ["2026-12-25"],
                "overtime": [[1772841600, 1772856000]],
                "downtimes": [{"start": 1772500000, "end": 1772510000, "guess": true}]}},
     "receiving": "days",
     "stations": [{"key": "M1", "work_center": "Mill", "calendar": "days", "pallets": 2, "over_closed": "unattended",
                   "unattended_s": 7200}],
     "people": [{"calendar": "days", "setters": 1, "tenders": 2}],
     "lots": [{"key": "L1", "number": "000001", "due": 1773000000, "weight": 2,
               "operations": [{"key": "10", "work_center": "Mill", "setup_s": 1800, "waiting": 20,
                               "taking": {"kind": "pallet", "pieces": 4, "cycle_ms": 600000, "load_ms": 240000},
                               "open_jobs": [{"station": "M1", "started_at": 1772460000, "pieces": 12, "counted": 8,
                                              "worked_s": 1500}]}]}]}

The objects have the fields of ``app.core.shop`` (Shop, Station, Crew, Lot, Operation, OpenJob, NotBefore),
``app.core.taking`` (kinds ``single``, ``pallet``, ``batch``, ``bar``, ``lead time``, ``purchase``) and
``app.core.calendar_hours`` (OpenHours, Shift, Downtime), explained there, with the same defaults. Stations, crews and
``receiving`` name a calendar. An open job is what is left of a run: ``pieces`` behind those ``counted``, with
``worked_s`` of the whole run behind it, or else what the hours since ``started_at`` come to. Hours given as plain open
stretches are a calendar of overtime without shifts. Times are whole seconds since 1970 (UTC). Figures that no shop can
work with, such as a cycle of zero, are read: the plan says what is wrong with that lot.
"""

import json
from typing import Any, Final

from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.planning.reading import BadFileError, at, object_with, parsed, read, read_object, write
from app.core.shop import Crew, Lot, Shop, Station
from app.core.taking import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece

FORMAT: Final = "lotwright problem"
VERSION: Final = 1
KINDS: Final[dict[type, str]] = {
    SinglePiece: "single",
    PalletLoad: "pallet",
    Batch: "batch",
    BarFed: "bar",
    LeadTime: "lead time",
    Purchase: "purchase",
}
_NAMES = {"format", "version", "now", "calendars", "receiving", "stations", "people", "lots"}
_FEWEST = 2
_LATEST = 2**33  # in the year 2242: far from where dates end, however far a plan looks ahead
_LOWEST = {
    "due": -_LATEST,
    "weight": 0,
    "pace": 1,
    "pallets": 1,
    "pallet_change_ms": 0,
    "unattended_s": 0,
    "setters": 0,
    "tenders": 0,
    "split": 1,
    "tend_permille": 0,
    "wait_s": 0,
    "waited_s": 0,
    "worked_s": 0,
    "needed_setup_s": 0,
}
_HIGHEST = {"weight": 10_000, **dict.fromkeys(("waiting", "counted", "held", "pieces"), 10_000_000)}
"""What it costs that ten thousand lots are late is less than 2 ** 63; a proof follows every piece of an operation."""


def read_problem(text: str) -> Shop:
    """Return the shop that a problem file describes.

    Raises:
        BadFileError: it is not such a file, or a value in it is wrong; the sentence says where.
    """
    return shop_of(parsed(text))


def write_problem(shop: Shop) -> str:
    """Return a shop as the text of a problem file, one lot a line."""
    document = document_of(shop)
    parts = [f"{json.dumps(name)}: {_lines(value)}" for name, value in document.items()]
    return "{" + ",\n".join(parts) + "}\n"


def shop_of(document: Any) -> Shop:
    """Return the shop that a document, as JSON has it, describes.

    Raises:
        BadFileError: a value is wrong.
    """
    fields = object_with(document, "", _NAMES)
    if fields.get("format") != FORMAT or fields.get("version") != VERSION:
        raise BadFileError("format", f'must be "{FORMAT}" with "version": {VERSION}.')
    for name in _NAMES - {"people"}:
        if name not in fields:
            raise BadFileError(name, "is missing.")
    calendars = _calendars(fields["calendars"])
    people = fields.get("people")
    given = {
        "receiving": _calendar(fields["receiving"], "receiving", calendars),
        "stations": _with_calendars(Station, fields["stations"], "stations", calendars),
        "people": None if people is None else _with_calendars(Crew, people, "people", calendars),
    }
    rest = {name: fields[name] for name in ("now", "lots")}
    shop: Shop = read_object(Shop, rest, "", KINDS, **given)
    check_bounds(shop)
    return shop


def document_of(shop: Shop) -> dict[str, Any]:
    """Return a shop as JSON has it."""
    names: dict[OpenHours, str] = {}
    holders: list[Station | Crew] = [*shop.stations, *(shop.people or ())]
    for calendar in [shop.receiving, *(each.calendar for each in holders)]:
        names.setdefault(calendar.hours, f"hours {len(names) + 1}")

    def named(holder: Station | Crew) -> dict[str, Any]:
        return _written(holder, calendar=names[holder.calendar.hours])

    document: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "now": shop.now,
        "calendars": {name: write(hours, KINDS) for hours, name in names.items()},
        "receiving": names[shop.receiving.hours],
        "stations": [named(station) for station in shop.stations],
        "lots": [write(lot, KINDS) for lot in shop.lots],
    }
    if shop.people is not None:
        document["people"] = [named(crew) for crew in shop.people]
    return document


def _written(holder: Station | Crew, calendar: str) -> dict[str, Any]:
    """Return a station or crew with its calendar's name in place of the calendar."""
    document: dict[str, Any] = write(holder, KINDS)
    return document | {"calendar": calendar}


def _calendars(value: Any) -> dict[str, WorkCalendar]:
    if not isinstance(value, dict):
        raise BadFileError("calendars", "must be an object of calendars by name.")
    return {name: WorkCalendar(read(OpenHours, each, at("calendars", name), KINDS)) for name, each in value.items()}


def _calendar(name: Any, path: str, calendars: dict[str, WorkCalendar]) -> WorkCalendar:
    if not isinstance(name, str) or name not in calendars:
        raise BadFileError(path, f"must name one of the calendars, not {name!r}.")
    return calendars[name]


def _with_calendars(wanted: type, value: Any, path: str, calendars: dict[str, WorkCalendar]) -> tuple[Any, ...]:
    """Return a list of stations or crews."""
    if not isinstance(value, list):
        raise BadFileError(path, "must be a list.")
    made = []
    for place, each in enumerate(value):
        here = at(path, place)
        if not isinstance(each, dict) or "calendar" not in each:
            raise BadFileError(at(here, "calendar"), "is missing.")
        calendar = _calendar(each["calendar"], at(here, "calendar"), calendars)
        rest = {name: field for name, field in each.items() if name != "calendar"}
        made.append(read_object(wanted, rest, here, KINDS, calendar=calendar))
    return tuple(made)


def check_bounds(shop: Shop) -> None:
    """Refuse figures that have no meaning, in a shop that was read from a file.

    Raises:
        BadFileError: there is one; the sentence says where.
    """
    if not 0 <= shop.now < _LATEST:
        raise BadFileError("now", f"must be seconds since 1970, below {_LATEST}.")
    for place, station in enumerate(shop.stations):
        _check_figures(station, at("stations", place))
    for place, crew in enumerate(shop.people or ()):
        _check_figures(crew, at("people", place))
    for place, lot in enumerate(shop.lots):
        _check_lot(lot, at("lots", place))


def _check_lot(lot: Lot, path: str) -> None:
    _check_figures(lot, path)
    for place, operation in enumerate(lot.operations):
        here, taking = at(at(path, "operations"), place), operation.taking
        _check_figures(operation, here)
        _check_figures(taking, at(here, "taking"))
        arrivals = taking.arrivals if isinstance(taking, Purchase) else ()
        for name, parts in (("taking.arrivals", arrivals), ("open_jobs", operation.open_jobs)):
            for number, part in enumerate(parts):
                _check_figures(part, at(at(here, name), number))


def _check_figures(holder: object, path: str) -> None:
    for name, lowest in _LOWEST.items():
        value = getattr(holder, name, None)
        if value is not None and value < lowest:
            raise BadFileError(at(path, name), f"must be {lowest} or more, not {value}.")
    for name, highest in _HIGHEST.items():
        value = getattr(holder, name, None)
        if value is not None and value > highest:
            raise BadFileError(at(path, name), f"must be {highest} or less, not {value}.")


def _lines(value: Any) -> str:
    """Return JSON with one entry of a list a line."""
    if not isinstance(value, list) or len(value) < _FEWEST:
        return json.dumps(value)
    return "[\n" + ",\n".join(json.dumps(each) for each in value) + "]"
