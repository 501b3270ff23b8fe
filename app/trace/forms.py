"""What a person asks about the past; it comes with the address."""

from datetime import date, timedelta

from flask import request
from werkzeug.datastructures import MultiDict
from wtforms import SelectField
from wtforms.validators import InputRequired, Length, ValidationError

from app.shared.fields import DayField, LineField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.trace.queries import Kind

USUAL_DAYS = 7


def _kind(typed: str) -> Kind | None:
    try:
        return Kind(typed)
    except ValueError:
        return None


class AskForm(Form):
    """From what to begin, by its code, number or some letters of its name."""

    of = SelectField(_l("Begin from"), coerce=_kind, default=Kind.LOT.value, validate_choice=False)
    which = LineField(
        _l("Which"), [InputRequired(_l("Enter its code, its number or some of its letters.")), Length(max=80)]
    )

    def __init__(self) -> None:
        self.asked = "which" in request.args
        super().__init__(formdata=request.args if self.asked else None)
        self.of.choices = [(each.value, each.word) for each in Kind]

    def validate_of(self, field: SelectField) -> None:
        """Refuse what none of the choices is.

        Raises:
            ValidationError: it is none.
        """
        if field.data is None:
            raise ValidationError(gettext("Choose what to begin from."))


class DaysForm(Form):
    """The days that a question is about; the last seven where the address names none."""

    since = DayField(_l("From"), [InputRequired(_l("Enter the first day."))])
    until = DayField(_l("To"), [InputRequired(_l("Enter the last day."))])

    def __init__(self, today: date) -> None:
        usual = {"since": (today - timedelta(days=USUAL_DAYS - 1)).isoformat(), "until": today.isoformat()}
        super().__init__(formdata=MultiDict(usual | request.args.to_dict()))

    def validate_until(self, field: DayField) -> None:
        """Put the message under the second day when the two are out of order.

        Raises:
            ValidationError: they are.
        """
        if self.since.data and field.data and field.data < self.since.data:
            raise ValidationError(gettext("The last day must not be before the first."))

    def to_days(self) -> tuple[date, date]:
        """Return the first and the last day; call only after ``validate()``."""
        assert self.since.data and self.until.data  # noqa: S101, PT018 - for the type checker: both are required
        return self.since.data, self.until.data
