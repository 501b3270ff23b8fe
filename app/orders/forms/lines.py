"""What is typed about lines: rows that can be added and removed before anything is kept."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

import wtforms
from werkzeug.datastructures import MultiDict
from wtforms import BooleanField, Field, FieldList, FormField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.orders.errors import FarDueError
from app.orders.forms.deliveries import DeliveryFields
from app.orders.queries import PartsByNumber
from app.orders.services import HIGHEST_PRICE, MOST_DELIVERIES, MOST_LINES, LineTerms, NewLine
from app.shared.errors import Problem
from app.shared.fields import AmountField, LineField, WholeNumberField
from app.shared.rows import put_problem, wrong_fields
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l

MOST_STANDING = 100_000_000


class LineFields(wtforms.Form):
    """One line: part, revision, price, rush and its deliveries."""

    part = LineField(
        _l("Part"),
        [InputRequired(_l("Enter the number of the part.")), Length(max=60, message=_l("Use 60 characters or fewer."))],
    )
    revision = SelectField(_l("Revision"), validate_choice=False, choices=[])
    price = AmountField(_l("Price each"), [Optional()], digits=4, most=HIGHEST_PRICE)
    rush = BooleanField(_l("Rush"))
    deliveries = FieldList(FormField(DeliveryFields), min_entries=1)

    def offer_revisions(self, parts: PartsByNumber) -> None:
        """Let the person choose among the revisions of the typed part; the current one is meant unless they do."""
        part = parts.find(self.part.data or "")
        labels = part.labels if part else ()
        current = next((each.label for each in part.revisions if each.current), "") if part else ""
        first = gettext("%(label)s, the current one", label=current) if current else gettext("the current one")
        self.revision.choices = [("", first), *((label, label) for label in labels)]

    def to_input(self) -> NewLine:
        """Hand the service typed values; call only after ``validate()``."""
        return NewLine(
            part=self.part.data or "",
            revision=self.revision.data or "",
            price=self.price.data or Decimal(0),
            rush=bool(self.rush.data),
            deliveries=tuple(row.form.to_input() for row in self.deliveries),
        )


def line_as_typed(sent: Mapping[str, str]) -> LineFields:
    """Return the line that ``row`` names (``lines-2``), filled with what is typed in it so far."""
    row = sent.get("row", "")
    return LineFields(formdata=MultiDict(sent), prefix=row if re.fullmatch("lines-[0-9]{1,3}", row) else "lines-0")


class LinesForm(Form):
    """A form with lines, each with deliveries."""

    lines = FieldList(FormField(LineFields), min_entries=1)
    far_dates_meant = BooleanField(_l("Dates more than five years ahead are meant"))
    has_far_dates = False
    """Dates were questioned: the box that confirms them is shown."""

    def part_numbers(self) -> list[str]:
        """Return the part numbers typed so far."""
        return [row.form.part.data for row in self.lines if row.form.part.data]

    def offer_revisions(self, parts: PartsByNumber) -> None:
        """Offer each line the revisions of its part."""
        for row in self.lines:
            row.form.offer_revisions(parts)

    def new_lines(self) -> tuple[NewLine, ...]:
        """Return the lines as typed values; call only after ``validate()``."""
        return tuple(row.form.to_input() for row in self.lines)

    def change_rows(self, asked: Mapping[str, str]) -> str:
        """Add or remove a row as the pressed button asks; a number that is no row's changes nothing.

        Returns the id of the field to type in next, empty where no row was added.
        """
        if "add_line" in asked:
            return self._add_line()
        if "add_delivery" in asked:
            return self._add_delivery(asked["add_delivery"])
        if "remove_line" in asked:
            _remove(self.lines, asked["remove_line"])
        elif "remove_delivery" in asked:
            line, _, row = asked["remove_delivery"].partition("-")
            if _is_row(self.lines, line):
                _remove(self.lines[int(line)].form.deliveries, row)
        return ""

    def _add_line(self) -> str:
        if not self._room(self.lines, MOST_LINES):
            return ""
        return str(self.lines.append_entry().form.part.id)

    def _add_delivery(self, line: str) -> str:
        deliveries = self.lines[int(line)].form.deliveries if _is_row(self.lines, line) else None
        if deliveries is None or not self._room(deliveries, MOST_DELIVERIES):
            return ""
        last = deliveries[-1].form.quantity.data if len(deliveries) else None
        return str(deliveries.append_entry({"quantity": last}).form.due.id)

    @staticmethod
    def _room(rows: "FieldList[Any]", most: int) -> bool:
        if len(rows) < most:
            return True
        rows.errors = [gettext("There is room for %(most)s here. Save these, then add the others.", most=most)]
        return False

    def put_problem(self, problem: Problem) -> None:
        """Show what a service found beside the field it is about, or over the form where it is about none."""
        self.has_far_dates = self.has_far_dates or isinstance(problem.error, FarDueError)
        put_problem(self, problem)

    def wrong_fields(self) -> Iterator[tuple[Field, list[str]]]:
        """Give each field that has messages, with them, in the order of the page."""
        return wrong_fields(self)


class AddLineForm(LinesForm):
    """A line more for an order that is already kept."""


class LineTermsForm(Form):
    """Change a line's price, whether it is a rush, and the total of a standing order."""

    price = AmountField(
        _l("Price each"),
        [InputRequired(_l("Enter a price; 0 where there is none."))],
        digits=4,
        most=HIGHEST_PRICE,
    )
    rush = BooleanField(_l("Rush"))
    standing_quantity = WholeNumberField(_l("Standing order for, in all"), [Optional()], least=1, most=MOST_STANDING)

    def to_input(self) -> LineTerms:
        """Hand the service typed values; call only after ``validate()``."""
        return LineTerms(self.price.data or Decimal(0), bool(self.rush.data), self.standing_quantity.data)


def _is_row(rows: "FieldList[Any]", typed: str) -> bool:
    return bool(re.fullmatch("[0-9]{1,4}", typed)) and int(typed) < len(rows)


def _remove(rows: "FieldList[Any]", typed: str) -> None:
    if _is_row(rows, typed) and len(rows) > 1:
        rows.pop_entry(int(typed))  # type: ignore[call-arg]  # the stubs are older than this argument
