"""The people of a shift."""

from datetime import time

from wtforms import SelectMultipleField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput, ListWidget

from app.shared.fields import LineField, WholeNumberField
from app.shared.moment_field import ClockField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l
from app.stations.models import weekday_name
from app.stations.services import NewCrew

_MOST = 999


class CrewForm(Form):
    """Add a shift with how many people it has."""

    name = LineField(
        _l("Shift"),
        [
            InputRequired(_l("Enter a name, such as Day shift.")),
            Length(max=60, message=_l("Use 60 characters or fewer.")),
        ],
    )
    weekdays = SelectMultipleField(
        _l("Begins on"),
        [InputRequired(_l("Tick at least one day."))],
        coerce=int,
        choices=lambda: [(day, weekday_name(day)) for day in range(7)],
        default=[0, 1, 2, 3, 4],
        option_widget=CheckboxInput(),
        widget=ListWidget(prefix_label=False),
    )
    starts = ClockField(_l("From"), [InputRequired(_l("Enter a time of day, such as 06:00."))])
    ends = ClockField(_l("To"), [InputRequired(_l("Enter a time of day, such as 14:30."))])
    setters = WholeNumberField(
        _l("People who can set up"), [InputRequired(_l("Enter how many, 0 if none."))], most=_MOST
    )
    tenders = WholeNumberField(
        _l("People who load and tend"), [InputRequired(_l("Enter how many, 0 if none."))], most=_MOST
    )

    def to_input(self) -> NewCrew:
        """Hand the service typed values; call only after ``validate()``."""
        return NewCrew(
            name=self.name.data or "",
            weekdays=tuple(sorted(self.weekdays.data or ())),
            starts=self.starts.data or time(),
            ends=self.ends.data or time(),
            setters=self.setters.data or 0,
            tenders=self.tenders.data or 0,
        )
