"""Purchases: placing one, changing when it is expected, and giving up the rest."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final, TypeVar

from sqlalchemy import orm

from app.material.errors import (
    BlankOrComponentError,
    ExpectedBeforeOrderedError,
    InactiveVendorError,
    LineClosedError,
    LineCompleteError,
    MoveReasonError,
    NoLinesError,
    OrderedInFutureError,
    PriceError,
    QuantityError,
    SameDayError,
    TooLongError,
)
from app.material.models import ExpectedChange, MaterialOrder, MaterialOrderLine
from app.material.queries import get_material_line, get_vendor, working_day_from
from app.material.services.inputs import HIGHEST_PRICE, MOST_PIECES, MOST_UNITS, NewMaterialLine, NewMaterialOrder
from app.orders.queries import shop_today
from app.parts.models import BlankForm, Revision
from app.parts.queries import current_revision
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, refuse

LONGEST_NUMBER: Final = 40
Value = TypeVar("Value")


def add_material_order(session: orm.Session, new: NewMaterialOrder, by: Person | None, now: datetime) -> MaterialOrder:
    """Record a purchase; what its lines leave out is filled in (see ``NewMaterialLine``).

    Raises:
        VendorNotFoundError: there is no such vendor.
        InactiveVendorError: it is a former vendor.
        RefusedError: something is wrong with it; its problems say what and where.
    """
    with transaction(session):
        vendor = get_vendor(session, new.vendor_id)
        if not vendor.active:
            raise InactiveVendorError(vendor.name)
        filled = replace(new, lines=tuple(_filled(session, line, new.ordered_on) for line in new.lines))
        refuse(_order_problems(filled, shop_today(session, now)))
        order = MaterialOrder(
            vendor=vendor,
            their_number=new.their_number,
            ordered_on=new.ordered_on,
            ordered_by_id=by.id if by else None,
            lines=[_made_line(line) for line in filled.lines],
        )
        session.add(order)
    return order


def default_expected(session: orm.Session, lead_days: int, ordered_on: date) -> date:
    """Return the day blanks are expected on: the order's day plus the lead time in calendar days, on a working day."""
    return working_day_from(session, ordered_on + timedelta(days=lead_days))


def _filled(session: orm.Session, line: NewMaterialLine, ordered_on: date) -> NewMaterialLine:
    revision = session.get(Revision, line.revision_id) if line.revision_id is not None else None
    terms = revision or (current_revision(session, line.part_id) if line.part_id is not None else None)
    lead_days = terms.blank_lead_days if terms else 0
    return replace(
        line,
        unit=line.unit or (revision.blank_form if revision else BlankForm.PIECE),
        pieces_per_unit=_given(line.pieces_per_unit, revision.pieces_per_unit if revision else 1),
        unit_price=_given(line.unit_price, terms.blank_price if terms else Decimal(0)),
        # A component of which no lead time is known is expected on the next working day.
        expected_on=line.expected_on or default_expected(session, lead_days or (0 if revision else 1), ordered_on),
    )


def _given(value: Value | None, otherwise: Value) -> Value:
    return otherwise if value is None else value


def _order_problems(order: NewMaterialOrder, today: date) -> Iterator[Problem]:
    if order.ordered_on > today:
        yield Problem("ordered_on", OrderedInFutureError(today))
    if len(order.their_number) > LONGEST_NUMBER:
        yield Problem("their_number", TooLongError(LONGEST_NUMBER))
    if not order.lines:
        yield Problem("lines", NoLinesError())
    for at, line in enumerate(order.lines):
        for problem in _line_problems(line, order.ordered_on):
            yield Problem(f"lines-{at}-{problem.place}", problem.error)


def _line_problems(line: NewMaterialLine, ordered_on: date) -> Iterator[Problem]:
    if (line.revision_id is None) == (line.part_id is None):
        yield Problem("revision_id", BlankOrComponentError())
    if not 1 <= line.units <= MOST_UNITS:
        yield Problem("units", QuantityError(1, MOST_UNITS))
    if line.pieces_per_unit is not None and not 1 <= line.pieces_per_unit * max(line.units, 1) <= MOST_PIECES:
        yield Problem("pieces_per_unit", QuantityError(1, MOST_PIECES // max(line.units, 1)))
    if line.unit_price is not None and not 0 <= line.unit_price <= HIGHEST_PRICE:
        yield Problem("unit_price", PriceError(HIGHEST_PRICE))
    if line.expected_on is not None and line.expected_on < ordered_on:
        yield Problem("expected_on", ExpectedBeforeOrderedError(ordered_on))


def _made_line(line: NewMaterialLine) -> MaterialOrderLine:
    return MaterialOrderLine(
        revision_id=line.revision_id,
        part_id=line.part_id,
        unit=line.unit,
        units=line.units,
        pieces_per_unit=line.pieces_per_unit,
        unit_price=line.unit_price,
        expected_on=line.expected_on,
    )


def move_expected(
    session: orm.Session, line_id: int, expected_on: date, reason: str, *, by_id: int | None, now: datetime
) -> MaterialOrderLine:
    """Expect the rest of a line on another day, and keep the day it was expected on with the reason.

    What has come in keeps the day it was expected on.

    Raises:
        MaterialOrderNotFoundError: there is no such line.
        MoveReasonError: no reason is given.
        SameDayError: it is expected on that day already.
        LineClosedError: nothing more is expected on it.
        ExpectedBeforeOrderedError: the day lies before the purchase.
    """
    if not reason:
        raise MoveReasonError
    with transaction(session):
        line = get_material_line(session, line_id, lock=True)
        _check_move(line, expected_on)
        before, line.expected_on = line.expected_on, expected_on
        session.add(
            ExpectedChange(line_id=line_id, expected_before=before, reason=reason, changed_at=now, changed_by_id=by_id)
        )
    return line


def _check_move(line: MaterialOrderLine, expected_on: date) -> None:
    if line.closed_at is not None:
        raise LineClosedError
    if line.expected_on == expected_on:
        raise SameDayError(expected_on)
    if expected_on < line.order.ordered_on:
        raise ExpectedBeforeOrderedError(line.order.ordered_on)


def close_line(session: orm.Session, line_id: int, now: datetime) -> MaterialOrderLine:
    """Expect nothing more on a line; closing it twice changes nothing.

    Raises:
        MaterialOrderNotFoundError: there is no such line.
    """
    with transaction(session):
        line = get_material_line(session, line_id, lock=True)
        if line.closed_at is None:
            line.closed_at = now
    return line


def reopen_line(session: orm.Session, line_id: int) -> MaterialOrderLine:
    """Expect the rest of a line again that was closed before all had come in; an open one stays so.

    Raises:
        MaterialOrderNotFoundError: there is no such line.
        LineCompleteError: all of it has come in.
    """
    with transaction(session):
        line = get_material_line(session, line_id, lock=True)
        if line.accepted >= line.pieces:
            raise LineCompleteError
        line.closed_at = None
    return line
