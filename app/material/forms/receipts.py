"""What is typed when material comes in, and when a receipt is put right."""

from datetime import date
from enum import StrEnum
from typing import Any

import wtforms
from wtforms import RadioField
from wtforms.validators import AnyOf, InputRequired, Length, Optional

from app.material.models import Origin
from app.material.services import MOST_PIECES, NewReceipt, ReceiptChange
from app.shared.fields import DayField, LineField, WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l

_REASON = [Length(max=500, message=_l("Use 500 characters or fewer."))]
_HEAT = [Length(max=40, message=_l("Use 40 characters or fewer."))]


class What(StrEnum):
    """What came in without a purchase of ours."""

    BLANKS = "blanks"
    COMPONENT = "component"


class CountFields(wtforms.Form):
    """Good and rejected pieces, and the heat they are of."""

    pieces = WholeNumberField(
        _l("Good pieces"), [InputRequired(_l("Enter how many good pieces came in; 0 for none."))], most=MOST_PIECES
    )
    rejected = WholeNumberField(_l("Rejected pieces"), [Optional()], most=MOST_PIECES)
    reject_reason = LineField(_l("What is wrong with the rejected ones"), _REASON)
    heat = LineField(_l("Heat number"), _HEAT)


class ReceiptForm(Form, CountFields):
    """Receive something of a purchase."""

    received_on = DayField(_l("Came in"), [InputRequired(_l("Enter the day it came in."))])
    note = LineField(_l("Note"), _REASON)

    def to_input(self, line_id: int | None = None, **what: Any) -> NewReceipt:
        """Hand the service typed values; call only after ``validate()``."""
        return NewReceipt(
            pieces=self.pieces.data or 0,
            received_on=self.received_on.data or date.min,
            line_id=line_id,
            heat=self.heat.data or "",
            rejected=self.rejected.data or 0,
            reject_reason=self.reject_reason.data or "",
            note=self.note.data or "",
            **what,
        )


class OtherReceiptForm(ReceiptForm):
    """Receive something that was not ordered here: from the customer, found in the shop, or bought over the counter."""

    part = LineField(
        _l("Part"),
        [InputRequired(_l("Enter the number of the part.")), Length(max=60, message=_l("Use 60 characters or fewer."))],
    )
    revision = LineField(_l("Revision"), [Length(max=12, message=_l("Use 12 characters or fewer."))])
    what = RadioField(
        _l("What came in"),
        [InputRequired(_l("Say what came in.")), AnyOf(list(What), message=_l("Choose one of the two."))],
        default=What.BLANKS.value,
        validate_choice=False,
    )
    origin = RadioField(
        _l("Where it is from"),
        [InputRequired(_l("Say where it is from.")), AnyOf(list(Origin), message=_l("Choose one of these."))],
        default=Origin.CUSTOMER.value,
        validate_choice=False,
    )

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.what.choices = [
            (What.BLANKS.value, gettext("Blanks to make the part from")),
            (What.COMPONENT.value, gettext("The part itself, bought or supplied ready to fit")),
        ]
        self.origin.choices = [
            (Origin.CUSTOMER.value, gettext("From the customer")),
            (Origin.FOUND.value, gettext("Found in the shop")),
            (Origin.BOUGHT.value, gettext("Bought without a purchase recorded here")),
        ]


class CorrectionForm(Form, CountFields):
    """Put a receipt right."""

    reason = LineField(
        _l("Why it is corrected"), [InputRequired(_l("Say why it is corrected; it stays on record.")), *_REASON]
    )

    def to_input(self) -> ReceiptChange:
        """Hand the service typed values; call only after ``validate()``."""
        return ReceiptChange(
            pieces=self.pieces.data or 0,
            rejected=self.rejected.data or 0,
            heat=self.heat.data or "",
            reason=self.reason.data or "",
            reject_reason=self.reject_reason.data or "",
        )
