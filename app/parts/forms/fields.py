"""Fields for what only parts and routings have: times of a cycle, minutes of setting up, weights."""

from collections.abc import Callable
from typing import Any

from wtforms import Field
from wtforms.form import BaseForm
from wtforms.validators import StopValidation
from wtforms.widgets import TextInput

from app.shared.typed import TypedError, minutes_s, time_ms, typed_minutes, typed_ms, typed_weight, weight_grams
from app.shared.units import UnitSystem


class MeasureField(Field):
    """A measure typed as text and kept as a whole number of its smallest unit; None where nothing was typed."""

    widget = TextInput()
    data: int | None
    read: Callable[[str], int]
    write: Callable[[int], str]

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Keep what was typed; ``pre_validate`` reads it."""
        self.data = None

    def pre_validate(self, form: BaseForm) -> None:
        """Read the measure.

        Raises:
            StopValidation: it is not one.
        """
        typed = str(self.raw_data[0]).strip() if self.raw_data else ""
        if not typed:
            return
        try:
            self.data = self.read(typed)
        except TypedError as error:
            raise StopValidation(str(error)) from error

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return self.write(self.data) if self.data else ""


class TimeField(MeasureField):
    """A time, kept in milliseconds."""

    read = staticmethod(time_ms)
    write = staticmethod(typed_ms)


class MinutesField(MeasureField):
    """A time typed in minutes, kept in seconds."""

    read = staticmethod(minutes_s)
    write = staticmethod(typed_minutes)


class WeightField(MeasureField):
    """A weight in the shop's unit, kept in grams; the form sets ``units`` before it is shown or validated."""

    units = UnitSystem.INCH

    def read(self, typed: str) -> int:
        """Read a weight in the shop's unit."""
        return weight_grams(typed, self.units)

    def write(self, grams: int) -> str:
        """Write a weight in the shop's unit."""
        return typed_weight(grams, self.units)
