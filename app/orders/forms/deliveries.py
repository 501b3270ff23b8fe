"""What is typed about one delivery."""

from collections.abc import Iterable

import wtforms
from wtforms import BooleanField, SelectField
from wtforms.validators import DataRequired, InputRequired, Length, Optional

from app.orders.services import MOST_PIECES, NewDelivery, Terms
from app.parts.models import Revision
from app.shared.fields import DayField, LineField, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l

LONGEST_NAME = 80
LONGEST_NOTE = 200
_TOO_LONG_A_NAME = Length(max=LONGEST_NAME, message=_l("Use 80 characters or fewer."))
_TOO_LONG_A_NOTE = Length(max=LONGEST_NOTE, message=_l("Use 200 characters or fewer."))


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


class DeliveryForm(KeyedForm, DeliveryFields):
    """Add one delivery, of a standing order a call-off."""

    agreed_with = LineField(_l("Who agreed at the customer"), [Optional(), _TOO_LONG_A_NAME])
    far_dates_meant = BooleanField(_l("A date more than five years ahead is meant"))
    over_agreed = BooleanField(_l("The customer agreed to a higher total"))

    def to_terms(self) -> Terms:
        """Hand the service typed values; call only after ``validate()``."""
        typed = self.to_input()
        return Terms(
            typed.quantity,
            typed.due,
            far_dates_meant=bool(self.far_dates_meant.data),
            over_agreed=bool(self.over_agreed.data),
        )


class AgreedForm(DeliveryForm):
    """Change what is agreed about a delivery."""

    revision_id = SelectField(_l("Revision"), coerce=int)
    agreed_with = LineField(
        _l("Who agreed at the customer"), [DataRequired(_l("Say who agreed; it stays on record.")), _TOO_LONG_A_NAME]
    )
    note = LineField(_l("Why"), [Optional(), _TOO_LONG_A_NOTE])

    def offer(self, revisions: Iterable[Revision]) -> None:
        """Let one of the part's revisions be chosen."""
        self.revision_id.choices = [
            (each.id, gettext("%(label)s, the current one", label=each.label) if each.current else each.label)
            for each in revisions
        ]

    def to_terms(self) -> Terms:
        """Hand the service typed values; call only after ``validate()``."""
        terms = super().to_terms()
        return Terms(terms.quantity, terms.due, self.revision_id.data, terms.far_dates_meant, terms.over_agreed)


class CancelForm(KeyedForm):
    """Cancel what has not left of a delivery."""

    reason = LineField(
        _l("Why it is cancelled"), [DataRequired(_l("Say why it is cancelled; it stays on record.")), _TOO_LONG_A_NOTE]
    )
    agreed_with = LineField(
        _l("Who said so at the customer"),
        [DataRequired(_l("Say who cancelled; it stays on record.")), _TOO_LONG_A_NAME],
    )


class ShortForm(KeyedForm):
    """Close a delivery with fewer pieces than were ordered, as the customer agreed."""

    agreed_with = LineField(
        _l("Who agreed at the customer"),
        [DataRequired(_l("Say who agreed to fewer; it stays on record.")), _TOO_LONG_A_NAME],
    )
    note = LineField(_l("What was agreed"), [Optional(), _TOO_LONG_A_NOTE])
