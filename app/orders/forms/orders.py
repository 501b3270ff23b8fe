"""What is typed when an order is taken."""

from typing import Any

from wtforms import BooleanField
from wtforms.validators import InputRequired, Length

from app.orders.forms.lines import LinesForm
from app.orders.queries import Repeat
from app.orders.services import NewOrder, OrderHead
from app.shared.fields import DayField, LineField, LinesField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l

_NUMBER = [
    InputRequired(_l("Enter the customer's order number.")),
    Length(max=40, message=_l("Use 40 characters or fewer.")),
]
_NOTE = [Length(max=2000, message=_l("Use 2,000 characters or fewer."))]


class OrderForm(LinesForm):
    """Take an order: whose, their number, and its lines."""

    customer = LineField(
        _l("Customer"),
        [
            InputRequired(_l("Choose the customer, or type the name of a new one.")),
            Length(max=80, message=_l("Use 80 characters or fewer.")),
        ],
    )
    new_customer = BooleanField(_l("New customer"))
    their_number = LineField(_l("Their order number"), _NUMBER)
    received_on = DayField(_l("Received"), [InputRequired(_l("Enter the day the order came in."))])
    note = LinesField(_l("Note"), _NOTE)

    def to_input(self) -> NewOrder:
        """Hand the service typed values; call only after ``validate()``."""
        if self.received_on.data is None:
            raise ValueError("validate first")
        return NewOrder(
            customer=self.customer.data or "",
            their_number=self.their_number.data or "",
            received_on=self.received_on.data,
            lines=self.new_lines(),
            note=self.note.data or "",
            new_customer=bool(self.new_customer.data),
            far_dates_meant=bool(self.far_dates_meant.data),
        )


def repeated(repeat: Repeat) -> dict[str, Any]:
    """Return what ``OrderForm`` is filled with to order the same again: all but the order number and the dates."""
    return {
        "customer": repeat.customer,
        "lines": [
            {
                "part": line.part,
                "price": line.price,
                "deliveries": [{"quantity": quantity} for quantity in line.quantities],
            }
            for line in repeat.lines
        ],
    }


class OrderHeadForm(Form):
    """Change what is said about an order as a whole."""

    their_number = LineField(_l("Their order number"), _NUMBER)
    received_on = DayField(_l("Received"), [InputRequired(_l("Enter the day the order came in."))])
    note = LinesField(_l("Note"), _NOTE)

    def to_input(self) -> OrderHead:
        """Hand the service typed values; call only after ``validate()``."""
        if self.received_on.data is None:
            raise ValueError("validate first")
        return OrderHead(self.their_number.data or "", self.received_on.data, self.note.data or "")
