"""What is typed about a customer."""

from typing import Any

from wtforms import BooleanField, RadioField
from wtforms.validators import AnyOf, InputRequired, Length, Optional

from app.orders.models import DueMeans
from app.orders.services import NewCustomer
from app.shared.fields import LineField, LinesField, WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l


class CustomerForm(Form):
    """Add or change a customer."""

    name = LineField(
        _l("Name"),
        [InputRequired(_l("Enter the customer's name.")), Length(max=80, message=_l("Use 80 characters or fewer."))],
        render_kw={"autocomplete": "off"},
    )
    address = LinesField(_l("Address"), [Length(max=1000, message=_l("Use 1,000 characters or fewer."))])
    due_means = RadioField(
        _l("Their due date means"),
        [
            InputRequired(_l("Say what their due date means.")),
            AnyOf([each.value for each in DueMeans], message=_l("Choose one of the two.")),
        ],
        default=DueMeans.LEAVES.value,
        validate_choice=False,
    )
    transit_days = WholeNumberField(_l("Days on the road"), [InputRequired(_l("Enter 0 or more days."))], most=90)
    weight = WholeNumberField(_l("What an hour late counts"), [Optional()], least=1, most=20, default=1)
    active = BooleanField(_l("Active: offered for new orders"), default=True)

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.due_means.choices = [
            (DueMeans.LEAVES.value, gettext("The day the goods leave here")),
            (DueMeans.DOCK.value, gettext("The day the goods are at their dock")),
        ]

    def to_input(self) -> NewCustomer:
        """Hand the service typed values; call only after ``validate()``."""
        return NewCustomer(
            name=self.name.data or "",
            address=self.address.data or "",
            due_means=DueMeans(self.due_means.data),
            transit_days=self.transit_days.data or 0,
            weight=self.weight.data or 1,
            active=bool(self.active.data),
        )
