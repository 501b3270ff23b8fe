"""Work centers and stations."""

from collections.abc import Sequence
from typing import Any

from wtforms import Field, RadioField, SelectField
from wtforms.validators import DataRequired, InputRequired, Length, Optional, StopValidation

from app.core.shop import OverClosed
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


def over_closed_words() -> dict[OverClosed, str]:
    """Return what work can do when the people leave, as pages say it."""
    return {
        OverClosed.PAUSE: gettext("Work pauses and goes on at the next opening"),
        OverClosed.FIT: gettext("Work is begun only if it ends before closing"),
        OverClosed.UNATTENDED: gettext("Work goes on alone for a while"),
    }


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
    pallet_change_seconds = WholeNumberField(_l("Seconds to change pallets"), [Optional()], most=3600, default=0)
    pace = WholeNumberField(
        _l("Speed, in percent of the routing's cycle times"),
        [InputRequired(_l("Enter 100, or how fast it cuts in percent."))],
        least=10,
        most=1000,
        default=100,
    )
    over_closed = RadioField(
        _l("When the people leave"),
        choices=lambda: [(way.value, words) for way, words in over_closed_words().items()],
        default=OverClosed.PAUSE.value,
    )
    unattended_minutes = WholeNumberField(_l("Minutes it goes on alone"), [Optional()], most=10_080, default=0)
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

    def validate_over_closed(self, field: Field) -> None:
        """Ask how long a station that goes on alone does so."""
        if field.data == OverClosed.UNATTENDED and not self.unattended_minutes.data:
            raise StopValidation(gettext("Enter below how many minutes it goes on alone, such as 240."))

    @classmethod
    def showing(cls, centers: Sequence[WorkCenter], stations: Sequence[Station], shown: Station) -> "StationForm":
        """Return the form with what is stored of a station."""
        same = ("name", "pallets", "pallet_change_seconds", "pace", "unattended_minutes")
        data = {name: getattr(shown, name) for name in same}
        more = {"work_center": shown.work_center_id, "over_closed": shown.over_closed.value}
        return cls(centers, stations, data={**data, **more})

    def to_input(self) -> NewStation:
        """Hand the service typed values; call only after ``validate()``."""
        return NewStation(
            name=self.name.data or "",
            pallets=self.pallets.data or 1,
            work_center_id=self.work_center.data,
            new_work_center=self.new_work_center.data or "",
            hours_from=self.hours_from.data,
            pallet_change_seconds=self.pallet_change_seconds.data or 0,
            over_closed=OverClosed(self.over_closed.data),
            unattended_minutes=self.unattended_minutes.data or 0,
            pace=self.pace.data or 100,
        )
