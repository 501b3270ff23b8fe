"""Work centers and stations."""

from collections.abc import Sequence
from typing import Any

from wtforms import Field, SelectField
from wtforms.validators import DataRequired, InputRequired, Length, Optional, StopValidation

from app.shared.fields import LineField, WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.stations.models import Station, WorkCenter
from app.stations.services import NewStation

_SHORT = Length(max=60, message=_l("Use 60 characters or fewer."))


def typed_key(typed: Any) -> int | None:
    """Return the key that a list to choose from sends; None for its empty line."""
    return int(typed) if typed not in (None, "", "None") else None


class WorkCenterForm(Form):
    """Add or rename a work center."""

    name = LineField(_l("Name"), [DataRequired(_l("Enter a name, such as Milling.")), _SHORT])


class StationForm(Form):
    """Add or change a station."""

    name = LineField(_l("Name"), [DataRequired(_l("Enter the station's name, such as Mill 2.")), _SHORT])
    work_center = SelectField(_l("Work center"), [Optional()], coerce=typed_key)
    new_work_center = LineField(_l("Or a new work center"), [_SHORT])
    pallets = WholeNumberField(
        _l("Jobs it can have open at once"),
        [InputRequired(_l("Enter 1, or the number of its pallets."))],
        least=1,
        most=24,
        default=1,
    )
    hours_from = SelectField(_l("Weekly hours as at"), [Optional()], coerce=typed_key)

    def __init__(self, centers: Sequence[WorkCenter], stations: Sequence[Station], **options: Any) -> None:
        super().__init__(**options)
        self.work_center.choices = {"": gettext("Choose one"), **{str(each.id): each.name for each in centers}}
        self.hours_from.choices = {
            "": gettext("No other station; I enter them next"),
            **{str(each.id): each.name for each in stations},
        }

    def validate_new_work_center(self, field: Field) -> None:
        """Ask for one of the two ways to name the work center, and not for both."""
        if bool(field.data) == bool(self.work_center.data):
            raise StopValidation(gettext("Choose a work center above, or type the name of a new one here."))

    def to_input(self) -> NewStation:
        """Hand the service typed values; call only after ``validate()``."""
        return NewStation(
            name=self.name.data or "",
            pallets=self.pallets.data or 1,
            work_center_id=self.work_center.data,
            new_work_center=self.new_work_center.data or "",
            hours_from=self.hours_from.data,
        )
