"""Closed days: public holidays to tick, and the shop's own."""

from datetime import date
from typing import Any

from wtforms import HiddenField, IntegerField, SelectMultipleField
from wtforms.validators import DataRequired, InputRequired, Length, NumberRange, Optional

from app.shared.fields import DayField, LineField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l

_YEARS = NumberRange(1970, 2199, _l("Choose a year between 1970 and 2199."))


def _day(value: Any) -> date:
    return value if isinstance(value, date) else date.fromisoformat(str(value))


class HolidaysForm(Form):
    """Which of a year's public holidays the shop is closed on."""

    country = HiddenField()
    state = HiddenField()
    year = IntegerField(validators=[InputRequired(), _YEARS])
    days = SelectMultipleField(coerce=_day, validate_choice=False)


class ClosedDaysForm(Form):
    """Close the shop on days of its own."""

    first = DayField(_l("First closed day"), [InputRequired(_l("Enter a day."))])
    last = DayField(_l("Last closed day"), [Optional()])
    name = LineField(
        _l("Why"),
        [
            DataRequired(_l("Say why, such as Summer shutdown.")),
            Length(max=80, message=_l("Use 80 characters or fewer.")),
        ],
    )

    def to_days(self) -> tuple[date, date]:
        """Return the first and the last day; call only after ``validate()``."""
        assert self.first.data is not None  # noqa: S101 - validate() has asked for it
        return self.first.data, self.last.data or self.first.data
