"""The form in which an inspector says that pieces which have moved on are out of tolerance."""

from collections.abc import Sequence

from wtforms import BooleanField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.lots.models import LotCharacteristic
from app.parts.queries import limits_words
from app.quality.models import Gauge
from app.quality.queries import characteristic_name
from app.quality.services import FoundLater, NewReading
from app.shared.fields import LineField, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import lazy_gettext as _l


def _key(typed: str | int | None) -> int | None:
    return int(typed) if typed and str(typed).isdigit() else None


class FoundLaterForm(KeyedForm):
    """Say which reading is bad, how many pieces may be, and how it was found."""

    of = SelectField(_l("What is out"), coerce=_key, validators=[InputRequired(_l("Choose what is out."))])
    typed = LineField(_l("Reading"), render_kw={"autocomplete": "off", "spellcheck": "false"})
    certain = BooleanField(_l("Yes, it is right as I typed it"))
    piece = WholeNumberField(_l("Piece"), [Optional()], least=1)
    serial = LineField(_l("Serial number"), [Optional(), Length(max=60, message=_l("Use 60 characters or fewer."))])
    gauge_id = SelectField(_l("Gauge"), coerce=_key, validators=[Optional()])
    pieces = WholeNumberField(_l("Pieces that may be as bad"), [InputRequired(_l("Type how many pieces."))])
    how = LineField(
        _l("How it was found"),
        [InputRequired(_l("Say how it was found: it stays on record.")), Length(max=200)],
    )

    def offer(self, planned: Sequence[LotCharacteristic], gauges: Sequence[Gauge]) -> None:
        """Offer what is measured of the lot, and the gauges in use."""
        self.of.choices = [(each.id, f"{characteristic_name(each)}, {limits_words(each)}") for each in planned]
        self.gauge_id.choices = [("", "–"), *((each.id, f"{each.name}, {each.kind.name}") for each in gauges)]

    def to_input(self, planned: Sequence[LotCharacteristic]) -> FoundLater:
        """Hand the service typed values; call only after ``validate()``. What is yes or no is not met."""
        what = next((each for each in planned if each.id == self.of.data), None)
        measured = what is not None and what.is_measured
        typed = (self.typed.data or "") if measured else ""
        reading = NewReading(
            characteristic_id=self.of.data or 0,
            typed=typed,
            met=None if measured else False,
            piece=self.piece.data,
            serial=self.serial.data or "",
            gauge_id=self.gauge_id.data,
            sure=typed if self.certain.data else "",
        )
        return FoundLater(reading, self.pieces.data or 0, self.how.data or "")
