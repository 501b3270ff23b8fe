"""The form of one characteristic of a control plan."""

from typing import Any

from wtforms import BooleanField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.core.quality.fits import CLASSES
from app.parts.models import Characteristic, CharacteristicKind, Concerns, FrequencyKind
from app.parts.services import NewCharacteristic, Often
from app.shared.dimension_field import DimensionField
from app.shared.fields import AmountField, LineField, LinesField, WholeNumberField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l

UNITS = ("in", "mm", "µin", "µm", "°", "HRC", "HV", "N·m", "lbf·in", "g")
SAMPLES = frozenset({FrequencyKind.BY_LOT_SIZE, FrequencyKind.ZERO_ACCEPTANCE})
NARROW = {"autocomplete": "off", "spellcheck": "false", "inputmode": "decimal"}
LINE = [Optional(), Length(max=120, message=_l("Use 120 characters or fewer."))]


def _words(kinds: type[CharacteristicKind] | type[Concerns] | type[FrequencyKind]) -> list[tuple[str, str]]:
    return [(each.value, each.word) for each in kinds]


class CharacteristicForm(Form):
    """Add or change a characteristic."""

    number = WholeNumberField(_l("Number"), [InputRequired(_l("Enter its number on the drawing."))], least=1, most=9999)
    operation_number = SelectField(_l("Measured at operation"), coerce=int)
    name = LineField(
        _l("What is measured"),
        [
            InputRequired(_l("Enter what is measured, such as Bore.")),
            Length(max=120, message=_l("Use 120 characters or fewer.")),
        ],
    )
    kind = SelectField(_l("A reading is"), coerce=CharacteristicKind, choices=lambda: _words(CharacteristicKind))
    concerns = SelectField(_l("It concerns"), coerce=Concerns, choices=lambda: _words(Concerns))
    nominal = DimensionField(_l("Nominal"), [Optional()], render_kw=NARROW)
    lower = DimensionField(_l("Lower limit"), [Optional()], render_kw=NARROW)
    upper = DimensionField(_l("Upper limit"), [Optional()], render_kw=NARROW)
    tolerance_class = SelectField(
        _l("Or a tolerance class"), [Optional()], choices=lambda: [("", "–"), *((each, each) for each in CLASSES)]
    )
    unit = LineField(_l("Unit"), [Optional(), Length(max=12)], render_kw={"list": "units", "autocomplete": "off"})
    drawing_zone = LineField(_l("Where on the drawing"), LINE)
    special_mark = LineField(_l("Special mark"), [Optional(), Length(max=20)])
    gauge_kind = LineField(
        _l("Kind of gauge"),
        [Optional(), Length(max=60, message=_l("Use 60 characters or fewer."))],
        render_kw={"list": "gauge-kinds", "autocomplete": "off"},
    )
    method = LineField(_l("Method"), LINE)
    checking_kind = SelectField(_l("Checked"), coerce=FrequencyKind)
    checking_number = AmountField(_l("Number for checking"), [Optional()], digits=6, render_kw=NARROW)
    recording_kind = SelectField(_l("Recorded"), coerce=FrequencyKind)
    recording_number = AmountField(_l("Number for recording"), [Optional()], digits=6, render_kw=NARROW)
    confidence = AmountField(_l("Confidence of a sample, percent"), [Optional()], digits=2, most=100, render_kw=NARROW)
    first_piece = BooleanField(_l("The first piece must pass before the run goes on"))
    asks_serial = BooleanField(_l("Ask for the serial number of each piece"))
    reaction_plan = LinesField(_l("What to do if it is out"), [Optional(), Length(max=2000)])

    @classmethod
    def showing(cls, row: Characteristic, **options: Any) -> "CharacteristicForm":
        """Return the form with what is stored."""
        data = {name: getattr(row, name) for name in row.PLANNED} | {"operation_number": row.operation_number}
        if row.is_measured:
            limits = row.limits
            data |= {"nominal": limits.nominal, "lower": limits.lower, "upper": limits.upper, "tolerance_class": ""}
        data["gauge_kind"] = row.gauge_kind.name if row.gauge_kind else ""
        return cls(data=data, formdata=None, **options)

    def offer(self, operations: list[tuple[int, str]], *, samples: bool) -> None:
        """Offer the operations, as number and title, and samples where the shop has switched them on."""
        self.operation_number.choices = list(operations)
        for field in (self.checking_kind, self.recording_kind):
            kept = {field.data, *(each for each in FrequencyKind if samples or each not in SAMPLES)}
            field.choices = [(each.value, each.word) for each in FrequencyKind if each in kept]

    def to_input(self) -> NewCharacteristic:
        """Hand the service typed values; call only after ``validate()``."""
        return NewCharacteristic(
            number=self.number.data or 0,
            operation_number=self.operation_number.data,
            name=self.name.data or "",
            kind=self.kind.data,
            concerns=self.concerns.data,
            nominal=self.nominal.data,
            lower=self.lower.data,
            upper=self.upper.data,
            tolerance_class=self.tolerance_class.data or "",
            unit=self.unit.data or "",
            drawing_zone=self.drawing_zone.data or "",
            gauge_kind=self.gauge_kind.data or "",
            special_mark=self.special_mark.data or "",
            method=self.method.data or "",
            reaction_plan=self.reaction_plan.data or "",
            checking=Often(self.checking_kind.data, self.checking_number.data),
            recording=Often(self.recording_kind.data, self.recording_number.data),
            confidence=self.confidence.data,
            first_piece=bool(self.first_piece.data),
            asks_serial=bool(self.asks_serial.data),
        )
