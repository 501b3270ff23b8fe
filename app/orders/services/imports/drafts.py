"""Rows of a table grouped into orders, lines and deliveries."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from app.orders.services.imports.columns import (
    CUSTOMER,
    DUE,
    NOTE,
    NUMBER,
    PART,
    PRICE,
    QUANTITY,
    RECEIVED,
    REVISION,
    RUSH,
)
from app.orders.services.inputs import HIGHEST_PRICE, MOST_PIECES, NewDelivery, NewLine, NewOrder
from app.shared.fields import typed_day
from app.shared.sheets import YES_NO, CellProblem, CellReader, NamedRow
from app.shared.typed import TypedError
from app.shared.words import gettext

_LONGEST = {CUSTOMER: 80, NUMBER: 40, PART: 60, REVISION: 12, NOTE: 2000}


@dataclass(slots=True)
class DraftLine:
    """A line as its first row says it, and the row of each delivery."""

    row: NamedRow
    part: str
    revision: str
    price: Decimal
    rush: bool
    deliveries: list[NewDelivery] = field(default_factory=list)
    delivery_rows: list[int] = field(default_factory=list)

    @property
    def key(self) -> tuple[str, str]:
        """Return what tells it from other lines of its order."""
        return self.part.casefold(), self.revision.casefold()


@dataclass(slots=True)
class DraftOrder:
    """An order as its first row says it, with its lines."""

    row: NamedRow
    customer: str
    number: str
    received_on: date
    note: str
    lines: list[DraftLine] = field(default_factory=list)

    @property
    def key(self) -> tuple[str, str]:
        """Return what tells it from other orders."""
        return self.customer.casefold(), self.number.casefold()

    def to_input(self) -> NewOrder:
        """Return the order as if it had been typed; a customer that is not known yet is meant as a new one."""
        return NewOrder(
            customer=self.customer,
            their_number=self.number,
            received_on=self.received_on,
            lines=tuple(
                NewLine(line.part, tuple(line.deliveries), line.revision, line.price, line.rush) for line in self.lines
            ),
            note=self.note,
            new_customer=True,
        )

    def cell_of(self, place: str) -> tuple[int, str]:
        """Return the row and column that a problem's place in ``to_input()`` is about."""
        steps = place.split("-")
        if steps[0] != "lines" or len(steps) == 1:
            return self.row.number, {"customer": CUSTOMER, "their_number": NUMBER, "received_on": RECEIVED}.get(
                place, ""
            )
        line = self.lines[int(steps[1])]
        if steps[2] == "deliveries" and len(steps) > 3:
            return line.delivery_rows[int(steps[3])], {"quantity": QUANTITY, "due": DUE}[steps[4]]
        return line.row.number, {"part": PART, "revision": REVISION, "price": PRICE}.get(steps[2], "")


def drafts_of(rows: Iterable[NamedRow], today: date) -> tuple[list[DraftOrder], list[CellProblem]]:
    """Group rows into orders, and name every cell that cannot be read or says something else than its order's first."""
    drafts: dict[tuple[str, str], DraftOrder] = {}
    problems: list[CellProblem] = []
    last: DraftOrder | None = None
    for row in rows:
        cells = CellReader(row)
        last = _order_of(cells, last, drafts, today)
        _add_row(last, cells)
        problems.extend(cells.problems)
    return list(drafts.values()), problems


def _order_of(
    cells: CellReader, last: DraftOrder | None, drafts: dict[tuple[str, str], DraftOrder], today: date
) -> DraftOrder:
    if last is not None and not cells.row[CUSTOMER] and not cells.row[NUMBER]:
        _compare(cells, last.row, (RECEIVED, NOTE))
        return last
    customer = cells.line(CUSTOMER, _LONGEST[CUSTOMER]) or (last.customer if last is not None else "")
    made = DraftOrder(
        row=cells.row,
        customer=customer,
        number=cells.line(NUMBER, _LONGEST[NUMBER]),
        received_on=cells.read(RECEIVED, _day, today),
        note=cells.text(NOTE, _LONGEST[NOTE]),
    )
    kept = drafts.setdefault(made.key, made)
    if kept is not made:
        _compare(cells, kept.row, (RECEIVED, NOTE))
    return kept


def _add_row(order: DraftOrder, cells: CellReader) -> None:
    made = DraftLine(
        row=cells.row,
        part=cells.line(PART, _LONGEST[PART]),
        revision=cells.line(REVISION, _LONGEST[REVISION]),
        price=cells.decimal(PRICE, Decimal(0), places=4, most=HIGHEST_PRICE),
        rush=cells.word(RUSH, YES_NO, False),
    )
    line = next((each for each in order.lines if each.key == made.key), None)
    if line is None:
        order.lines.append(made)
        line = made
    else:
        _compare(cells, line.row, (PRICE, RUSH))
    line.deliveries.append(_delivery(cells, order.received_on))
    line.delivery_rows.append(cells.row.number)


def _delivery(cells: CellReader, received_on: date) -> NewDelivery:
    for column in (QUANTITY, DUE):
        if not cells.row[column]:
            cells.wrong(column, gettext("This cell is empty. Each row needs it."))
    return NewDelivery(
        quantity=cells.whole(QUANTITY, 1, least=1, most=MOST_PIECES), due=cells.read(DUE, _day, received_on)
    )


def _compare(cells: CellReader, first: NamedRow, columns: tuple[str, ...]) -> None:
    """Refuse a cell that is filled and says something else than the first row of its order or line."""
    for column in columns:
        if cells.row[column] and cells.row[column] != first[column]:
            cells.wrong(
                column, gettext("Row %(row)s says something else of the same order. Make them alike.", row=first.number)
            )


def _day(typed: str) -> date:
    try:
        return typed_day(typed)
    except ValueError as error:
        raise TypedError(str(error)) from error
