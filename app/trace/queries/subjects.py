"""What a trace can begin from, and how it is found by what a person types."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeError, CodeKind, format_code, parse_code
from app.lots.models import Lot
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt, Vendor
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.parts.models import GaugeKind, Part, Revision
from app.people.models import Person
from app.quality.models import Gauge
from app.shared.paging import contains
from app.shared.typed import LARGEST_WHOLE
from app.shared.words import day, gettext
from app.shipping.models import Shipment
from app.stations.models import Station, WorkCenter
from app.trace.errors import SubjectNotFoundError

MOST_FOUND = 20


class Kind(StrEnum):
    """What a trace begins from."""

    LOT = "lot"
    HEAT = "heat"
    RECEIPT = "receipt"
    SHIPMENT = "shipment"
    DAY = "day"
    DELIVERY = "delivery"
    GAUGE = "gauge"
    PERSON = "person"
    STATION = "station"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            Kind.LOT: gettext("Lot"),
            Kind.HEAT: gettext("Heat"),
            Kind.RECEIPT: gettext("Receipt"),
            Kind.SHIPMENT: gettext("Shipment"),
            Kind.DAY: gettext("Shipped on"),
            Kind.DELIVERY: gettext("Delivery"),
            Kind.GAUGE: gettext("Gauge"),
            Kind.PERSON: gettext("Person"),
            Kind.STATION: gettext("Station"),
        }
        return words[self]

    @property
    def needs_days(self) -> bool:
        """Say whether it was busy all along, so that a question about it names days."""
        return self in {Kind.GAUGE, Kind.PERSON, Kind.STATION}


@dataclass(frozen=True, slots=True)
class Subject:
    """One thing to begin from.

    Attributes:
        kind: what it is.
        key: its row; of a heat, a receipt that has it; of a day, the day as the number yyyymmdd.
        name: what it is called.
        about: a few more words about it.
        link: the address of its own page, '' where it has none.
        heat: the heat that is asked about; '' for other kinds, or where the receipt has none on record.
    """

    kind: Kind
    key: int
    name: str
    about: str = ""
    link: str = ""
    heat: str = ""

    @property
    def day(self) -> date:
        """Return the day that a key of the kind ``DAY`` stands for."""
        return date(self.key // 10_000, self.key // 100 % 100, self.key % 100)


def get_subject(session: orm.Session, kind: Kind, key: int) -> Subject:
    """Return what a trace begins from; one statement, or none for a day.

    Raises:
        SubjectNotFoundError: there is no such thing.
    """
    if kind is Kind.DAY:
        return _the_day(key)
    chosen, column, make = _READS[kind]
    row = session.execute(chosen.where(column == key)).first()
    if row is None:
        raise SubjectNotFoundError
    return make(row)


def find_subjects(session: orm.Session, kind: Kind, typed: str) -> list[Subject]:
    """Return what fits ``typed``: a code or number, or some letters of a name; at most ``MOST_FOUND``."""
    typed = typed.strip()
    if kind is Kind.DAY:
        return _typed_day(typed)
    chosen, column, make = _READS[kind]
    where = _FITS[kind](typed)
    if where is None:
        return []
    rows: Sequence[sa.Row[Any]] = session.execute(chosen.where(where).order_by(column.desc()).limit(MOST_FOUND)).all()
    if kind is Kind.HEAT:
        rows = list({row.heat: row for row in rows}.values())
    return [make(row) for row in rows]


def _the_day(key: int) -> Subject:
    subject = Subject(Kind.DAY, key, "")
    try:
        return Subject(Kind.DAY, key, day(subject.day))
    except ValueError as error:
        raise SubjectNotFoundError from error


def day_key(of: date) -> int:
    """Return the number that stands for a day in an address."""
    return of.year * 10_000 + of.month * 100 + of.day


def _typed_day(typed: str) -> list[Subject]:
    try:
        return [_the_day(day_key(date.fromisoformat(typed)))]
    except ValueError:
        return []


_made = orm.aliased(Part)
_MAKE = dict[Kind, tuple[sa.Select[*tuple[Any, ...]], Any, Callable[[Any], Subject]]]


def _item(row: Any) -> str:
    return f"{row.made} {row.label}" if row.made else row.bought or ""


def _receipt(row: Any) -> Subject:
    name = format_code(CodeKind.RECEIPT, row.number)
    about = [_item(row), gettext("heat %(heat)s", heat=row.heat) if row.heat else "", row.vendor or ""]
    words = ", ".join(each for each in [*about, day(row.received_on)] if each)
    return Subject(Kind.RECEIPT, row.id, name, words, f"/receipts/{row.id}")


def _heat(row: Any) -> Subject:
    if not row.heat:
        raise SubjectNotFoundError
    return Subject(Kind.HEAT, row.id, row.heat, row.vendor or "", heat=row.heat)


def _lot(row: Any) -> Subject:
    about = f"{row.part} {row.label} {row.title}"
    return Subject(Kind.LOT, row.id, format_code(CodeKind.LOT, row.number), about, f"/lots/{row.id}")


def _shipment(row: Any) -> Subject:
    return Subject(Kind.SHIPMENT, row.id, str(row.number), f"{row.name}, {day(row.shipped_on)}", f"/shipments/{row.id}")


def _delivery(row: Any) -> Subject:
    name = gettext("%(order)s line %(line)s", order=row.their_number, line=row.line)
    about = gettext(
        "%(pieces)s for %(customer)s, due %(day)s", pieces=row.quantity, customer=row.name, day=day(row.due)
    )
    return Subject(Kind.DELIVERY, row.id, name, about, f"/orders/{row.order_id}")


_RECEIPTS = (
    sa.select(
        Receipt.id,
        Receipt.number,
        Receipt.heat,
        Receipt.received_on,
        _made.number.label("made"),
        Revision.label,
        Part.number.label("bought"),
        Vendor.name.label("vendor"),
    )
    .outerjoin(Revision, Receipt.revision_id == Revision.id)
    .outerjoin(_made, Revision.part_id == _made.id)
    .outerjoin(Part, Receipt.part_id == Part.id)
    .outerjoin(MaterialOrderLine, Receipt.line_id == MaterialOrderLine.id)
    .outerjoin(MaterialOrder, MaterialOrderLine.order_id == MaterialOrder.id)
    .outerjoin(Vendor, MaterialOrder.vendor_id == Vendor.id)
)
_READS: _MAKE = {
    Kind.LOT: (
        sa.select(Lot.id, Lot.number, Part.number.label("part"), Revision.label, Part.name.label("title"))
        .join(Lot.revision)
        .join(Revision.part),
        Lot.id,
        _lot,
    ),
    Kind.HEAT: (_RECEIPTS, Receipt.id, _heat),
    Kind.RECEIPT: (_RECEIPTS, Receipt.id, _receipt),
    Kind.SHIPMENT: (
        sa.select(Shipment.id, Shipment.number, Shipment.shipped_on, Customer.name).join(Shipment.customer),
        Shipment.id,
        _shipment,
    ),
    Kind.DELIVERY: (
        sa.select(
            Delivery.id,
            Delivery.quantity,
            Delivery.due,
            OrderLine.number.label("line"),
            OrderLine.order_id,
            CustomerOrder.their_number,
            Customer.name,
        )
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(CustomerOrder.customer),
        Delivery.id,
        _delivery,
    ),
    Kind.GAUGE: (
        sa.select(Gauge.id, Gauge.name, GaugeKind.name.label("about")).join(Gauge.kind),
        Gauge.id,
        lambda row: Subject(Kind.GAUGE, row.id, row.name, row.about, f"/gauges/{row.id}"),
    ),
    Kind.PERSON: (
        sa.select(Person.id, Person.name),
        Person.id,
        lambda row: Subject(Kind.PERSON, row.id, row.name),
    ),
    Kind.STATION: (
        sa.select(Station.id, Station.name, WorkCenter.name.label("about")).join(Station.work_center),
        Station.id,
        lambda row: Subject(Kind.STATION, row.id, row.name, row.about, f"/stations/{row.id}"),
    ),
}


def _code_or_number(kind: CodeKind, column: orm.InstrumentedAttribute[int]) -> Callable[[str], Any]:
    def fits(typed: str) -> sa.ColumnElement[bool] | None:
        try:
            code = parse_code(typed)
        except CodeError:
            return _is_number(column, typed.lstrip("LlRr"))
        return column == code.number if code.kind is kind else None

    return fits


def _is_number(column: orm.InstrumentedAttribute[int], typed: str) -> sa.ColumnElement[bool] | None:
    whole = typed.isascii() and typed.isdigit() and len(typed) <= 9 and int(typed) <= LARGEST_WHOLE
    return column == int(typed) if whole else None


def _has_letters(column: orm.InstrumentedAttribute[str]) -> Callable[[str], Any]:
    return lambda typed: contains(column, typed) if typed else None


_FITS: dict[Kind, Callable[[str], sa.ColumnElement[bool] | None]] = {
    Kind.LOT: _code_or_number(CodeKind.LOT, Lot.number),
    Kind.HEAT: _has_letters(Receipt.heat),
    Kind.RECEIPT: _code_or_number(CodeKind.RECEIPT, Receipt.number),
    Kind.SHIPMENT: lambda typed: _is_number(Shipment.number, typed),
    Kind.DELIVERY: _has_letters(CustomerOrder.their_number),
    Kind.GAUGE: _has_letters(Gauge.name),
    Kind.PERSON: _has_letters(Person.name),
    Kind.STATION: _has_letters(Station.name),
}
