"""Forms of the measuring page: a reading, how many are made, and what an inspector says."""

from typing import Any

from wtforms import HiddenField, RadioField, SelectField
from wtforms.validators import InputRequired, Length, Optional
from wtforms.widgets import HiddenInput

from app.floor.forms.sent import SentForm
from app.quality.models import Gauge
from app.quality.services import NewReading
from app.shared.fields import LineField, WholeNumberField
from app.shared.words import lazy_gettext as _

VALUE, DEVIATION = "value", "deviation"
ANSWERS = {"yes": True, "no": False}


def _whole(typed: str | None) -> int | None:
    return int(typed) if typed and typed.isascii() and typed.isdigit() else None


class ReadingForm(SentForm):
    """One reading; which characteristic it is of stands in the form."""

    of = WholeNumberField(widget=HiddenInput(), least=1)
    sure = HiddenField()
    typed = LineField(_("Reading"))
    way = RadioField(_("Typed as"), default=VALUE, validate_choice=False)
    met = HiddenField()
    piece = WholeNumberField(_("Piece"), [Optional()], least=1)
    serial = LineField(_("Serial number"), [Optional(), Length(max=60, message=_("Use 60 characters or fewer."))])
    gauge_id = SelectField(_("Gauge"), coerce=lambda typed: _whole(str(typed)), validate_choice=False)

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.way.choices = [(VALUE, _("the value")), (DEVIATION, _("the deviation, in the last place"))]

    def offer(self, gauges: list[tuple[Gauge, str]]) -> None:
        """Offer gauges, each with what keeps it from being used in words."""
        self.gauge_id.choices = [(each.id, f"{each.name} ({why})" if why else each.name) for each, why in gauges]

    def to_input(self) -> NewReading:
        """Hand the service what was typed; call only after ``validate()``."""
        return NewReading(
            characteristic_id=self.of.data or 0,
            typed=self.typed.data or "",
            as_deviation=self.way.data == DEVIATION,
            met=ANSWERS.get(self.met.data or ""),
            piece=self.piece.data,
            serial=self.serial.data or "",
            gauge_id=self.gauge_id.data,
            sure=self.sure.data or "",
        )


class MadeForm(SentForm):
    """How many pieces are made by now."""

    made = WholeNumberField(_("Made by now"), [InputRequired(_("Type how many pieces are made."))])


class WhyForm(SentForm):
    """Why an inspector lets it go on, or a reading is struck out."""

    reason = LineField(
        _("Why"),
        [
            InputRequired(_("Say why: the reason stays on record.")),
            Length(max=200, message=_("Use 200 characters or fewer.")),
        ],
    )
