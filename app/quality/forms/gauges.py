"""Forms of gauges and their calibrations."""

from wtforms import BooleanField, FileField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.parts.services import Upload
from app.quality.models import Condition, Gauge, WhenOverdue
from app.quality.services import NewCalibration, NewGauge
from app.shared.dimension_field import DimensionField
from app.shared.fields import DayField, LineField, WholeNumberField
from app.shared.web import Form, KeyedForm
from app.shared.words import lazy_gettext as _l

NARROW = {"autocomplete": "off", "inputmode": "decimal", "spellcheck": "false"}
LINE = [Optional(), Length(max=120, message=_l("Use 120 characters or fewer."))]


class GaugeForm(Form):
    """Add or change a gauge."""

    name = LineField(
        _l("Name"),
        [
            InputRequired(_l("Enter what is engraved on it, such as M-07.")),
            Length(max=40, message=_l("Use 40 characters or fewer.")),
        ],
        render_kw={"autocomplete": "off"},
    )
    kind = LineField(
        _l("Kind"),
        [
            InputRequired(_l("Enter its kind, such as outside micrometer.")),
            Length(max=60, message=_l("Use 60 characters or fewer.")),
        ],
        render_kw={"list": "gauge-kinds", "autocomplete": "off"},
    )
    unit = LineField(_l("Unit"), [Optional(), Length(max=12, message=_l("Use 12 characters or fewer."))])
    range_low = DimensionField(_l("Measures from"), [Optional()], render_kw=NARROW)
    range_high = DimensionField(_l("up to"), [Optional()], render_kw=NARROW)
    resolution = DimensionField(_l("Smallest step"), [Optional()], render_kw=NARROW)
    owner = LineField(_l("Whose it is"), LINE)
    interval_months = WholeNumberField(
        _l("Months between calibrations"), [InputRequired(_l("Enter a number, such as 12."))], least=1, most=240
    )
    when_overdue = SelectField(
        _l("When its calibration is overdue"),
        coerce=WhenOverdue,
        choices=lambda: [(each.value, each.word) for each in WhenOverdue],
    )
    active = BooleanField(_l("In use"), default=True)

    @classmethod
    def showing(cls, gauge: Gauge) -> "GaugeForm":
        """Return the form with what is stored."""
        form = cls(obj=gauge, formdata=None)
        form.kind.data = gauge.kind.name
        for field in (form.range_low, form.range_high, form.resolution):
            field.data = field.data.normalize() if field.data is not None else None
        return form

    def to_input(self) -> NewGauge:
        """Hand the service typed values; call only after ``validate()``."""
        return NewGauge(
            name=self.name.data or "",
            kind=self.kind.data or "",
            unit=self.unit.data or "",
            range_low=self.range_low.data,
            range_high=self.range_high.data,
            resolution=self.resolution.data,
            owner=self.owner.data or "",
            interval_months=self.interval_months.data or 12,
            when_overdue=self.when_overdue.data,
            active=bool(self.active.data),
        )


def _conditions() -> list[tuple[str, str]]:
    return [(each.value, each.word) for each in Condition]


class CalibrationForm(KeyedForm):
    """Record a calibration."""

    made_on = DayField(_l("Calibrated on"), [InputRequired(_l("Enter the day it was calibrated."))])
    as_found = SelectField(_l("As found, before adjusting"), coerce=Condition, choices=_conditions)
    as_left = SelectField(_l("As left"), coerce=Condition, choices=_conditions)
    made_by = LineField(_l("By"), LINE)
    certificate = LineField(_l("Certificate number"), LINE)
    note = LineField(_l("Note"), [Optional(), Length(max=200, message=_l("Use 200 characters or fewer."))])
    file = FileField(_l("Certificate"), [Optional()], render_kw={"accept": ".png,.jpg,.jpeg,.webp,.pdf"})

    def to_input(self) -> NewCalibration:
        """Hand the service typed values; call only after ``validate()``."""
        if self.made_on.data is None:
            raise ValueError("validate first")
        sent = self.file.data
        named = getattr(sent, "filename", "")
        return NewCalibration(
            made_on=self.made_on.data,
            as_found=self.as_found.data,
            as_left=self.as_left.data,
            made_by=self.made_by.data or "",
            certificate=self.certificate.data or "",
            note=self.note.data or "",
            file=Upload(name=named, data=sent.read()) if named else None,
        )
