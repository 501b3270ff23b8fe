"""The form of a control plan's head."""

from wtforms import SelectField
from wtforms.validators import Length, Optional

from app.parts.models import PlanPhase
from app.parts.services import NewPlanHead
from app.shared.fields import LineField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l

LINE = [Optional(), Length(max=120, message=_l("Use 120 characters or fewer."))]


class PlanHeadForm(Form):
    """Say for which phase a control plan is, who answers for it, and what the customer asks to stand on it."""

    phase = SelectField(
        _l("Phase"),
        coerce=PlanPhase,
        default=PlanPhase.PRODUCTION,
        choices=lambda: [(each.value, each.word) for each in PlanPhase],
    )
    contact = LineField(_l("Who answers for it"), LINE)
    customer = LineField(_l("For the customer"), LINE)

    def to_input(self) -> NewPlanHead:
        """Hand the service typed values; call only after ``validate()``."""
        return NewPlanHead(self.phase.data, self.contact.data or "", self.customer.data or "")
