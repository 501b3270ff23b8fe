"""What is typed about goods that come back."""

from collections.abc import Sequence

import wtforms
from wtforms import RadioField, SelectField, SelectMultipleField
from wtforms.validators import InputRequired, Length, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from app.lots.models import LotOperation
from app.lots.services import Inspection
from app.people.models import Person
from app.shared.fields import DayField, LineField, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.shipping.models import Outcome
from app.shipping.queries import InspectionPlace
from app.shipping.services import MOST_PIECES, NewDecision, NewReturn

_LONG = Length(max=200, message=_l("Use 200 characters or fewer."))
LONGEST_INSPECTION = 24 * 3600


class ReturnForm(KeyedForm):
    """Record pieces of a shipment that came back."""

    pieces = WholeNumberField(_l("Pieces"), [InputRequired(_l("Enter how many came back."))], least=1, most=MOST_PIECES)
    came_on = DayField(_l("Came back on"), [InputRequired(_l("Enter the day they came back."))])
    reason = LineField(_l("Why, as the customer says"), [InputRequired(_l("Say why they came back.")), _LONG])
    their_reference = LineField(
        _l("Their reference"), [Optional(), Length(max=80, message=_l("Use 80 characters or fewer."))]
    )
    inspect_at = SelectField(_l("Inspect them first"), default="")
    inspect_seconds = WholeNumberField(
        _l("Seconds for a piece"), [Optional()], least=1, most=LONGEST_INSPECTION, default=60
    )
    operation_ids = SelectMultipleField(
        _l("Then do again"),
        coerce=int,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
        validators=[Optional()],
    )

    def offer(self, operations: Sequence[LotOperation], places: Sequence[InspectionPlace]) -> None:
        """Offer the lot's own operations, and the places where an inspection can be done."""
        self.operation_ids.choices = [(each.id, f"{each.number} {each.title}".strip()) for each in operations]
        self.inspect_at.choices = [
            ("", gettext("No inspection of its own")),
            *((each.key, f"{each.kind.name}: {each.work_center.name}") for each in places),
        ]

    def to_input(self, line_id: int) -> NewReturn:
        """Hand the service typed values; call only after ``validate()``."""
        if self.came_on.data is None or self.pieces.data is None:
            raise ValueError("validate first")
        return NewReturn(
            shipment_line_id=line_id,
            pieces=self.pieces.data,
            came_on=self.came_on.data,
            reason=self.reason.data or "",
            their_reference=self.their_reference.data or "",
            inspection=self._inspection(),
            operation_ids=tuple(sorted(self.operation_ids.data or ())),
        )

    def _inspection(self) -> Inspection | None:
        if not self.inspect_at.data:
            return None
        kind_id, _dash, work_center_id = self.inspect_at.data.partition("-")
        return Inspection(int(kind_id), int(work_center_id), self.inspect_seconds.data or 60)


class DecisionForm(KeyedForm):
    """Decide about pieces that came back."""

    outcome = RadioField(_l("What is decided"), validators=[InputRequired(_l("Choose what is decided."))])
    pieces = WholeNumberField(_l("Pieces"), [InputRequired(_l("Enter for how many."))], least=1, most=MOST_PIECES)
    due = DayField(_l("Sent again, due"), [Optional()])
    decided_by_id = SelectField(_l("Who decided"), coerce=int)
    note = LineField(_l("Note"), [Optional(), _LONG])

    def offer(self, people: Sequence[Person], by: int) -> None:
        """Offer the outcomes and the people; ``by`` is chosen unless another is sent."""
        self.outcome.choices = [(each.value, each.word) for each in Outcome]
        self.decided_by_id.choices = [(each.id, each.name) for each in people]
        if self.decided_by_id.data is None:
            self.decided_by_id.data = by

    def validate_due(self, field: wtforms.Field) -> None:
        """Ask for the day where they are sent again."""
        if self.outcome.data == Outcome.SHIP_AGAIN.value and field.data is None:
            raise wtforms.ValidationError(gettext("Enter the day that was agreed for sending them again."))

    def to_input(self, return_id: int) -> NewDecision:
        """Hand the service typed values; call only after ``validate()``."""
        return NewDecision(
            return_id=return_id,
            outcome=Outcome(self.outcome.data),
            pieces=self.pieces.data or 0,
            due=self.due.data,
            decided_by_id=self.decided_by_id.data,
            note=self.note.data or "",
        )
