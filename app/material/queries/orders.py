"""Reads of purchases: what was ordered, what has come in of it, and what is still expected."""

from collections.abc import Collection, Sequence
from datetime import date
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.material.errors import MaterialOrderNotFoundError
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt, Vendor
from app.parts.models import Part, Revision
from app.shared.database import lock_row, the_one
from app.shared.paging import Page, contains, paged


class Shown(StrEnum):
    """Which lines a list shows."""

    OPEN = "open"
    ALL = "all"


def _what_and_receipts() -> tuple[Any, ...]:  # SQLAlchemy names the type of its loads for itself only
    """Load of a line what it is of and what has come in."""
    return (
        orm.joinedload(MaterialOrderLine.revision).joinedload(Revision.part),
        orm.joinedload(MaterialOrderLine.part),
        orm.selectinload(MaterialOrderLine.receipts),
    )


def _lines() -> sa.Select[MaterialOrderLine]:
    return sa.select(MaterialOrderLine).options(
        orm.joinedload(MaterialOrderLine.order).joinedload(MaterialOrder.vendor), *_what_and_receipts()
    )


def get_material_order(session: orm.Session, order_id: int) -> MaterialOrder:
    """Return one purchase with its vendor, lines, parts and receipts, in three statements.

    Raises:
        MaterialOrderNotFoundError: there is none with this id.
    """
    return the_one(
        session,
        sa.select(MaterialOrder)
        .where(MaterialOrder.id == order_id)
        .options(
            orm.joinedload(MaterialOrder.vendor),
            orm.joinedload(MaterialOrder.ordered_by),
            orm.selectinload(MaterialOrder.lines).options(*_what_and_receipts()),
        ),
        MaterialOrderNotFoundError,
    )


def get_material_line(session: orm.Session, line_id: int, *, lock: bool = False) -> MaterialOrderLine:
    """Return one line with its purchase, vendor, part and receipts, in two statements.

    Args:
        session: where to read.
        line_id: which one.
        lock: hold its row until the end of the transaction.

    Raises:
        MaterialOrderNotFoundError: there is none with this id.
    """
    if lock:
        lock_row(session, MaterialOrderLine, line_id)
    return the_one(
        session,
        _lines().where(MaterialOrderLine.id == line_id).execution_options(populate_existing=lock),
        MaterialOrderNotFoundError,
    )


def _open_lines() -> sa.Select[MaterialOrderLine]:
    return (
        _lines()
        .where(MaterialOrderLine.closed_at.is_(None))
        .order_by(MaterialOrderLine.expected_on, MaterialOrderLine.id)
    )


def open_lines(session: orm.Session) -> Sequence[MaterialOrderLine]:
    """Return all lines of which pieces are still expected (see ``still_expected``), soonest first; two statements."""
    return session.scalars(_open_lines()).all()


def open_lines_about(
    session: orm.Session, revision_ids: Collection[int] = (), part_ids: Collection[int] = ()
) -> Sequence[MaterialOrderLine]:
    """Return the open lines that buy blanks of some revisions or some components, soonest first; two statements."""
    bought = sa.or_(MaterialOrderLine.revision_id.in_(revision_ids), MaterialOrderLine.part_id.in_(part_ids))
    return session.scalars(_open_lines().where(bought)).all()


def late_lines(session: orm.Session, today: date) -> Sequence[MaterialOrderLine]:
    """Return the lines whose expected date has passed with pieces still to come, longest late first; two statements."""
    return session.scalars(_open_lines().where(MaterialOrderLine.expected_on < today)).all()


def open_lines_of_vendor(session: orm.Session, vendor_id: int) -> Sequence[MaterialOrderLine]:
    """Return the open lines of a vendor, soonest first; two statements."""
    return session.scalars(
        _open_lines().join(MaterialOrderLine.order).where(MaterialOrder.vendor_id == vendor_id)
    ).all()


def lines_page(session: orm.Session, text: str, shown: Shown, number: int) -> Page[MaterialOrderLine]:
    """Return a page of lines: open ones first, soonest expected first; then closed ones, last expected first.

    ``text`` looks in vendors, their numbers, part numbers and heats.
    """
    closed = MaterialOrderLine.closed_at.is_not(None)
    made = orm.aliased(Part)
    chosen = (
        _lines()
        .join(MaterialOrderLine.order)
        .join(MaterialOrder.vendor)
        .outerjoin(MaterialOrderLine.revision)
        .outerjoin(made, Revision.part_id == made.id)
        .outerjoin(Part, MaterialOrderLine.part_id == Part.id)
        .order_by(
            closed,
            sa.case((sa.not_(closed), MaterialOrderLine.expected_on)),
            MaterialOrderLine.expected_on.desc(),
            MaterialOrderLine.id,
        )
    )
    if text:
        found = [contains(column, text) for column in (Vendor.name, MaterialOrder.their_number, Part.number)]
        in_heats = MaterialOrderLine.receipts.any(contains(Receipt.heat, text))
        chosen = chosen.where(sa.or_(*found, made.number.icontains(text, autoescape=True), in_heats))
    if shown is Shown.OPEN:
        chosen = chosen.where(sa.not_(closed))
    return paged(session, chosen, number)


def any_lines(session: orm.Session) -> bool:
    """Say whether anything was ever ordered."""
    return session.scalars(sa.select(MaterialOrderLine.id).limit(1)).first() is not None
