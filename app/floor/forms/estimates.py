"""About when pieces were finished that nobody signed off."""

import re
from collections.abc import Sequence

from wtforms import BooleanField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.floor.services import Estimate
from app.lots.models import LotOperation
from app.shared.fields import LineField, WholeNumberField
from app.shared.moment_field import MomentField
from app.shared.web import KeyedForm
from app.shared.words import lazy_gettext as _

LONGEST = 200


class EstimateForm(KeyedForm):
    """One forgotten sign-off; sent with the name that the service's problems have."""

    done = MomentField(_("Finished at about"), [InputRequired(_("Say about when they were finished."))])
    good = WholeNumberField(_("Good pieces"), [InputRequired(_("Type how many pieces are good; 0 for none."))])
    scrap = WholeNumberField(_("Scrap"), [Optional()])
    reason = LineField(_("Why scrap"), [Optional(), Length(max=LONGEST, message=_("Use 200 characters or fewer."))])
    through = SelectField(_("Passed so far"), coerce=int)
    first_piece = BooleanField(_("First piece was good"))
    components = LineField(_("Components from"), [Optional(), Length(max=LONGEST)])

    def offer(self, following: Sequence[LotOperation]) -> None:
        """Let the last operation be chosen that the pieces have passed."""
        self.through.choices = [(each.id, f"{each.number} {each.title}".strip()) for each in following]

    def to_input(self, operation_id: int, station_id: int | None) -> Estimate:
        """Hand the service typed values; call only after ``validate()``."""
        assert self.done.data is not None  # noqa: S101 - for the type checker: the form is valid
        return Estimate(
            operation_id=operation_id,
            through_id=self.through.data,
            station_id=station_id,
            about=self.done.data,
            good=self.good.data or 0,
            scrap=self.scrap.data or 0,
            reason=self.reason.data or "",
            first_piece=bool(self.first_piece.data),
            components=tuple(each for each in re.split(r"[\s,;]+", self.components.data or "") if each),
        )
