"""The form for a planned service."""

from datetime import datetime
from typing import Any

from wtforms.fields import RadioField
from wtforms.validators import InputRequired, Length, Optional

from app.shared.fields import DayField, LineField, WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext, shown_zone
from app.shared.words import lazy_gettext as _
from app.stations.services import NewService


class ServiceForm(Form):
    """A service that comes back after days or after hours run."""

    name = LineField(
        _("What is done"),
        [
            InputRequired(_("Say what is done, such as grease the ways.")),
            Length(max=60, message=_("Use 60 characters or fewer.")),
        ],
    )
    every = WholeNumberField(_("Every"), [InputRequired(_("Type a number of days or hours."))], least=1, most=3660)
    unit = RadioField(_("Counted in"), default="hours")
    takes = WholeNumberField(
        _("Takes minutes"), [InputRequired(_("Type how many minutes it takes."))], least=1, most=10_000
    )
    last_done = DayField(_("Last done on"), [InputRequired(_("Choose the day it was last done."))])
    hours_since = WholeNumberField(_("Hours run since then"), [Optional()], most=100_000)

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.unit.choices = [("hours", gettext("hours run")), ("days", gettext("days"))]

    def to_input(self) -> NewService:
        """Hand the service typed values; call only after ``validate()``."""
        assert self.last_done.data is not None  # noqa: S101 - validate() has asked for it
        by_days = self.unit.data == "days"
        return NewService(
            name=self.name.data or "",
            takes_minutes=self.takes.data or 0,
            last_done_at=datetime.combine(self.last_done.data, datetime.min.time(), shown_zone()),
            every_days=self.every.data if by_days else None,
            every_hours=None if by_days else self.every.data,
        )
