"""What is typed about one delivery."""

import wtforms
from wtforms import BooleanField
from wtforms.validators import InputRequired

from app.orders.services import MOST_PIECES, NewDelivery
from app.shared.fields import DayField, WholeNumberField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class DeliveryFields(wtforms.Form):
    """A quantity and its due date: a row of a line, or a form of its own."""

    quantity = WholeNumberField(
        _l("Quantity"), [InputRequired(_l("Enter how many pieces."))], least=1, most=MOST_PIECES
    )
    due = DayField(_l("Due"), [InputRequired(_l("Enter the due date."))])

    def to_input(self) -> NewDelivery:
        """Hand the service typed values; call only after ``validate()``."""
        if self.quantity.data is None or self.due.data is None:
            raise ValueError("validate first")
        return NewDelivery(self.quantity.data, self.due.data)


class DeliveryForm(Form, DeliveryFields):
    """Add or change one delivery."""

    far_dates_meant = BooleanField(_l("A date more than five years ahead is meant"))
