"""What is typed when material is ordered, expected on another day, or issued to lots."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import wtforms
from wtforms import BooleanField, Field, FieldList, FormField, IntegerField
from wtforms.validators import DataRequired, InputRequired, Length, Optional
from wtforms.widgets import HiddenInput

from app.material.services import HIGHEST_PRICE, MOST_PIECES, MOST_UNITS
from app.purchasing.queries import Key, Proposal, ProposedOrder
from app.purchasing.services import NewPurchase, PurchaseLine, Share
from app.shared.errors import Problem
from app.shared.fields import AmountField, DayField, LineField, WholeNumberField
from app.shared.web import Form, KeyedForm
from app.shared.words import lazy_gettext as _l

_GONE = [InputRequired(_l("This row is broken. Open the page again."))]


class ShareFields(wtforms.Form):
    """Pieces for one lot; empty: none."""

    lot_id = IntegerField(widget=HiddenInput(), validators=_GONE)
    pieces = WholeNumberField(_l("Pieces"), [Optional()], most=MOST_PIECES)

    def to_input(self) -> Share:
        """Hand the service typed values; call only after ``validate()``."""
        return Share(self.lot_id.data or 0, self.pieces.data or 0)


class PurchaseLineFields(wtforms.Form):
    """Blanks of one revision, or a bought component: how many of the vendor's units, for which lots."""

    revision_id = IntegerField(widget=HiddenInput(), validators=[Optional()])
    part_id = IntegerField(widget=HiddenInput(), validators=[Optional()])
    units = WholeNumberField(_l("How many"), [Optional()], most=MOST_UNITS)
    unit_price = AmountField(_l("Price of one"), [Optional()], digits=4, most=HIGHEST_PRICE)
    expected_on = DayField(_l("Expected"), [Optional()])
    shares = FieldList(FormField(ShareFields))

    @property
    def article(self) -> Key:
        """Return which article the row is about."""
        return Key(self.revision_id.data, self.part_id.data)

    def to_input(self) -> PurchaseLine:
        """Hand the service typed values; call only after ``validate()``."""
        return PurchaseLine(
            key=self.article,
            shares=tuple(row.form.to_input() for row in self.shares),
            units=self.units.data,
            unit_price=self.unit_price.data,
            expected_on=self.expected_on.data,
        )


class _Placing(Form):
    """A form that shows what a service found beside the field it is about, also in rows."""

    def put_problem(self, problem: Problem) -> None:
        """Show a problem beside its field, or over the form where it is about none."""
        for field in _fields(self):
            if field.name == problem.place and not isinstance(field, FieldList):
                field.errors = [*field.errors, str(problem.error)]
                return
        self.form_errors.append(str(problem.error))


class PurchaseForm(_Placing, KeyedForm):
    """Order blanks and components from one vendor."""

    vendor = LineField(
        _l("Vendor"),
        [
            DataRequired(_l("Enter the vendor.")),
            Length(max=80, message=_l("Use 80 characters or fewer.")),
        ],
    )
    new_vendor = BooleanField(_l("New vendor"))
    their_number = LineField(
        _l("Their order number"), [Optional(), Length(max=40, message=_l("Use 40 characters or fewer."))]
    )
    ordered_on = DayField(_l("Ordered"), [InputRequired(_l("Enter the day it was ordered."))])
    lines = FieldList(FormField(PurchaseLineFields))

    def articles(self) -> list[Key]:
        """Return the articles of the rows."""
        return [row.form.article for row in self.lines]

    def lot_ids(self) -> list[int]:
        """Return the lots of all rows."""
        return [share.form.lot_id.data for row in self.lines for share in row.form.shares if share.form.lot_id.data]

    def to_input(self) -> NewPurchase:
        """Hand the service typed values; call only after ``validate()``."""
        if self.ordered_on.data is None:
            raise ValueError("validate first")
        return NewPurchase(
            vendor=self.vendor.data or "",
            ordered_on=self.ordered_on.data,
            lines=tuple(row.form.to_input() for row in self.lines),
            their_number=self.their_number.data or "",
            new_vendor=bool(self.new_vendor.data),
        )


def proposed(order: ProposedOrder) -> Mapping[str, Any]:
    """Return what ``PurchaseForm`` is filled with."""
    lines = [
        {
            **line.article.key._asdict(),
            "units": line.units or None,
            "unit_price": line.unit_price,
            "expected_on": line.expected_on,
            "shares": [{"lot_id": need.lot.id, "pieces": need.to_order} for need in line.needs],
        }
        for line in order.lines
    ]
    return {"vendor": order.vendor, "ordered_on": order.ordered_on, "lines": lines}


class IssuesForm(_Placing, KeyedForm):
    """Issue a receipt's pieces to lots."""

    shares = FieldList(FormField(ShareFields))

    def lot_ids(self) -> list[int]:
        """Return the lots of the rows."""
        return [row.form.lot_id.data for row in self.shares if row.form.lot_id.data]

    def to_input(self) -> tuple[Share, ...]:
        """Hand the service typed values; call only after ``validate()``."""
        return tuple(row.form.to_input() for row in self.shares)


def proposed_shares(lots: Sequence[Proposal]) -> Mapping[str, Any]:
    """Return what the form is filled with: the proposal, as it stands."""
    return {"shares": [{"lot_id": each.lot.id, "pieces": each.pieces or None} for each in lots]}


class ExpectedForm(Form):
    """Expect the rest of a line on another day."""

    expected_on = DayField(_l("Expected now"), [InputRequired(_l("Enter the day it is expected on now."))])
    reason = LineField(
        _l("Why, and who said so"),
        [
            DataRequired(_l("Say why it was moved, and who said so; it stays on record.")),
            Length(max=200, message=_l("Use 200 characters or fewer.")),
        ],
    )


def _fields(form: wtforms.Form) -> Iterator[Field]:
    """Give every field of a form and of the rows inside it."""
    for field in form:
        yield field
        if isinstance(field, FieldList):
            for row in field:
                yield from _fields(row.form)
