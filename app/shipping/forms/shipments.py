"""What is typed about a shipment: rows of lots and deliveries, and why one is taken back."""

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any

import wtforms
from wtforms import BooleanField, FieldList, FormField, IntegerField
from wtforms.validators import DataRequired, InputRequired, Length, Optional
from wtforms.widgets import HiddenInput

from app.shared.errors import Problem
from app.shared.fields import DayField, LineField, LinesField, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import lazy_gettext as _l
from app.shipping.queries import ReadyDelivery
from app.shipping.services import MOST_PIECES, NewShipment, NewShipmentLine

_GONE = _l("This row is broken. Open the page again.")


class RowFields(wtforms.Form):
    """Pieces of one lot for one delivery; empty: nothing of it leaves."""

    lot_id = IntegerField(widget=HiddenInput(), validators=[InputRequired(_GONE)])
    delivery_id = IntegerField(widget=HiddenInput(), validators=[InputRequired(_GONE)])
    pieces = WholeNumberField(_l("Pieces"), [Optional()], most=MOST_PIECES)

    @property
    def leaving(self) -> int:
        """Return how many pieces are typed; 0 where there is no number."""
        return self.pieces.data or 0


class ShipmentForm(KeyedForm):
    """Record what leaves for one customer."""

    customer_id = IntegerField(widget=HiddenInput())
    shipped_on = DayField(_l("Leaves on"), [InputRequired(_l("Enter the day it leaves."))])
    carrier = LineField(_l("Carrier"), [Optional(), Length(max=80, message=_l("Use 80 characters or fewer."))])
    note = LinesField(_l("Note on the slip"), [Optional(), Length(max=500, message=_l("Use 500 characters or fewer."))])
    over_agreed = BooleanField(_l("The customer was asked and wants the pieces that are over"))
    lines = FieldList(FormField(RowFields))

    def rows(self) -> list[RowFields]:
        """Return the rows that name a lot and a delivery."""
        return [row.form for row in self.lines if row.form.lot_id.data and row.form.delivery_id.data]

    def rows_by_delivery(self) -> list[tuple[int, list[RowFields]]]:
        """Return the rows of each delivery, in the order in which they stand on the form."""
        return [(key, list(rows)) for key, rows in groupby(self.rows(), lambda row: row.delivery_id.data or 0)]

    def put_problem(self, problem: Problem) -> None:
        """Show what a service found beside the field it is about, or over the form where it is about none."""
        for field in (*self, *(row.pieces for row in self.rows())):
            if field.name == problem.place and field is not self.lines:
                field.errors = [*field.errors, str(problem.error)]
                return
        self.form_errors.append(str(problem.error))

    def to_input(self) -> NewShipment:
        """Hand the service typed values; call only after ``validate()``."""
        if self.shipped_on.data is None:
            raise ValueError("validate first")
        return NewShipment(
            customer_id=self.customer_id.data or 0,
            shipped_on=self.shipped_on.data,
            lines=tuple(
                NewShipmentLine(row.lot_id.data or 0, row.delivery_id.data or 0, row.leaving) for row in self.rows()
            ),
            carrier=self.carrier.data or "",
            note=self.note.data or "",
            over_agreed=bool(self.over_agreed.data),
        )


def proposed_rows(ready: Iterable[ReadyDelivery]) -> list[Mapping[str, Any]]:
    """Return what the rows are filled with: nothing for deliveries that leave much later."""
    return [
        {
            "lot_id": candidate.lot.id,
            "delivery_id": each.delivery.id,
            "pieces": (candidate.reserved or None) if not each.early else None,
        }
        for each in ready
        for candidate in each.candidates
    ]


class TakeBackForm(KeyedForm):
    """Say why a shipment is taken back."""

    reason = LineField(
        _l("Why it is taken back"),
        [
            DataRequired(_l("Say why it is taken back; it stays on record.")),
            Length(max=200, message=_l("Use 200 characters or fewer.")),
        ],
    )
