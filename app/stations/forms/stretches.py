"""Overtime and downtime of a station."""

from wtforms import BooleanField, Field
from wtforms.validators import InputRequired, Length, Optional, ValidationError

from app.shared.fields import LineField
from app.shared.moment_field import MomentField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.stations.services import NewDowntime, NewOvertime

_REASON = Length(max=200, message=_l("Use 200 characters or fewer."))


class StretchForm(Form):
    """A stretch of time on the shop's wall clock, with a reason."""

    def validate_ends_at(self, field: Field) -> None:
        """Put the message under the second field when the two are out of order."""
        starts_at = self["starts_at"].data
        if starts_at and field.data and field.data <= starts_at:
            raise ValidationError(gettext("It has to end after it starts."))


class DowntimeForm(StretchForm):
    """Add or change a downtime."""

    starts_at = MomentField(_l("Down from"), [InputRequired(_l("Enter when it went down, or will."))])
    ends_at = MomentField(_l("Back at"), [InputRequired(_l("Enter when it is back, or your best guess."))])
    end_is_guess = BooleanField(_l("The end is a guess"))
    reason = LineField(_l("Reason"), [Optional(), _REASON])

    def to_input(self) -> NewDowntime:
        """Hand the service typed values; call only after ``validate()``."""
        assert self.starts_at.data is not None  # noqa: S101 - validate() has asked for both
        assert self.ends_at.data is not None  # noqa: S101
        return NewDowntime(self.starts_at.data, self.ends_at.data, bool(self.end_is_guess.data), self.reason.data or "")


class OvertimeForm(StretchForm):
    """Add or change extra open hours."""

    starts_at = MomentField(_l("Open from"), [InputRequired(_l("Enter when the extra hours begin."))])
    ends_at = MomentField(_l("Until"), [InputRequired(_l("Enter when the extra hours end."))])
    reason = LineField(_l("Reason"), [Optional(), _REASON])
    everywhere = BooleanField(_l("For every station of this work center"))

    def to_input(self) -> NewOvertime:
        """Hand the service typed values; call only after ``validate()``."""
        assert self.starts_at.data is not None  # noqa: S101 - validate() has asked for both
        assert self.ends_at.data is not None  # noqa: S101
        return NewOvertime(
            self.starts_at.data, self.ends_at.data, self.reason.data or "", everywhere=bool(self.everywhere.data)
        )
