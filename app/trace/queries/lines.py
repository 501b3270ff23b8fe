"""A line of a trace, whatever it tells: the same fields on the page and in the file."""

from dataclasses import dataclass
from datetime import date, datetime

from app.shared.words import gettext, lazy_gettext, local


@dataclass(frozen=True, slots=True)
class Line:
    """One thing on record; fields that do not belong to it are empty. The ids lead to pages."""

    key: int
    """Its row: the next page goes on behind it."""
    when: datetime | date | None = None
    what: str = ""
    lot: str = ""
    lot_id: int | None = None
    part: str = ""
    operation: str = ""
    other_lot: str = ""
    other_lot_id: int | None = None
    pieces: int | None = None
    piece: str = ""
    requirement: str = ""
    result: str = ""
    standing: str = ""
    gauge: str = ""
    gauge_id: int | None = None
    station: str = ""
    station_id: int | None = None
    person: str = ""
    receipt: str = ""
    receipt_id: int | None = None
    heat: str = ""
    vendor: str = ""
    shipment: str = ""
    shipment_id: int | None = None
    customer: str = ""
    order: str = ""
    nonconformance: str = ""
    nonconformance_id: int | None = None
    note: str = ""


HEADINGS = {
    "when": lazy_gettext("When"),
    "what": lazy_gettext("What"),
    "lot": lazy_gettext("Lot"),
    "part": lazy_gettext("Part"),
    "operation": lazy_gettext("Operation"),
    "other_lot": lazy_gettext("Other lot"),
    "pieces": lazy_gettext("Pieces"),
    "piece": lazy_gettext("Piece"),
    "requirement": lazy_gettext("Required"),
    "result": lazy_gettext("Result"),
    "standing": lazy_gettext("Against the limits"),
    "gauge": lazy_gettext("Gauge"),
    "station": lazy_gettext("Station"),
    "person": lazy_gettext("By"),
    "receipt": lazy_gettext("Receipt"),
    "heat": lazy_gettext("Heat"),
    "vendor": lazy_gettext("Vendor"),
    "shipment": lazy_gettext("Shipment"),
    "customer": lazy_gettext("Customer"),
    "order": lazy_gettext("Order"),
    "nonconformance": lazy_gettext("Nonconformance"),
    "note": lazy_gettext("Note"),
}
"""How each field is called, in the order of the file's columns."""


def headings() -> list[str]:
    """Return the headings of the file."""
    return [gettext("About"), *map(str, HEADINGS.values())]


def cells(about: str, line: Line) -> list[str]:
    """Return a line of the file."""
    return [about, *(cell_text(getattr(line, name)) for name in HEADINGS)]


def cell_text(value: object) -> str:
    """Write a cell; letters at its start that a spreadsheet would reckon with are made plain text."""
    if isinstance(value, datetime):
        return f"{local(value):%Y-%m-%d %H:%M:%S}"
    if isinstance(value, date):
        return value.isoformat()
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(("=", "+", "@", "\t", "\r")) else text
