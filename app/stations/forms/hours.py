"""The weekly hours of a station: for each day a few shifts, each from a time to a time."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import wtforms
from wtforms import BooleanField, FieldList, FormField, SelectField
from wtforms.validators import InputRequired, Optional

from app.shared.moment_field import ClockField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.stations.forms.stations import typed_key
from app.stations.models import Shift, Station
from app.stations.services import NewShift

SHIFTS_A_DAY = 3
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONDAY = 0
_LIKE_MONDAY = (1, 2, 3, 4)


class ShiftForm(wtforms.Form):
    """One shift; both times or none."""

    starts = ClockField(_l("from"), [Optional()])
    ends = ClockField(_l("to"), [Optional()])

    def validate(self, extra_validators: Any = None) -> bool:
        """Ask for the time that is missing."""
        sound = super().validate(extra_validators)
        for missing, other in ((self.starts, self.ends), (self.ends, self.starts)):
            if sound and missing.data is None and other.data is not None:
                missing.errors = [gettext("Enter both times, or neither.")]
                return False
        return sound


class DayForm(wtforms.Form):
    """The shifts that start on one day of the week."""

    shifts = FieldList(FormField(ShiftForm), min_entries=SHIFTS_A_DAY)


class HoursForm(Form):
    """The week of a station, Monday first."""

    monday = FormField(DayForm)
    tuesday = FormField(DayForm)
    wednesday = FormField(DayForm)
    thursday = FormField(DayForm)
    friday = FormField(DayForm)
    saturday = FormField(DayForm)
    sunday = FormField(DayForm)
    like_monday = BooleanField(_l("Tuesday to Friday are like Monday"))
    everywhere = BooleanField(_l("The same for every station of this work center"))

    @classmethod
    def showing(cls, shifts: Iterable[Shift]) -> "HoursForm":
        """Return the form with a stored week."""
        week: list[list[dict[str, Any]]] = [[] for _ in range(7)]
        for shift in shifts:
            week[shift.weekday].append({"starts": shift.starts, "ends": shift.ends})
        return cls(data={name: {"shifts": day} for name, day in zip(WEEKDAYS, week, strict=True)})

    @property
    def most_shifts(self) -> int:
        """Return how many shifts the fullest day has room for."""
        return max(len(day.shifts) for day in self.days)

    @property
    def days(self) -> list[DayForm]:
        """Return the forms of the seven days, Monday first."""
        week = (self.monday, self.tuesday, self.wednesday, self.thursday, self.friday, self.saturday, self.sunday)
        return [day.form for day in week]

    def to_input(self) -> list[NewShift]:
        """Hand the service typed values; call only after ``validate()``."""
        return [
            NewShift(day, shift.starts.data, shift.ends.data)
            for day, shift in self._filled()
            if shift.starts.data is not None and shift.ends.data is not None
        ]

    def put_shift_error(self, place: int, error: Exception) -> None:
        """Show a refusal beside the shift at ``place`` among those that ``to_input`` gave."""
        _day, shift = list(self._filled())[place]
        shift.starts.errors = [str(error)]

    def _filled(self) -> Iterator[tuple[int, ShiftForm]]:
        """Give each shift that was typed, with the day it stands for."""
        for day in range(7):
            typed_on = _MONDAY if self.like_monday.data and day in _LIKE_MONDAY else day
            for entry in self.days[typed_on].shifts:
                if entry.form.starts.data is not None:
                    yield day, entry.form


class CopyHoursForm(Form):
    """Take another station's week."""

    source = SelectField(_l("Copy the week of"), [InputRequired(_l("Choose a station."))], coerce=typed_key)
    everywhere = BooleanField(_l("For every station of this work center"))

    def __init__(self, stations: Sequence[Station], **options: Any) -> None:
        super().__init__(**options)
        self.source.choices = {"": gettext("Choose a station"), **{str(each.id): each.name for each in stations}}
