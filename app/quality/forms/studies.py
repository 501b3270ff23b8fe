"""The form of a study of a gauge."""

from collections.abc import Sequence

from wtforms import SelectField
from wtforms.fields import TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from app.quality.services import NewStudy
from app.shared.fields import LineField
from app.shared.web import KeyedForm
from app.shared.words import lazy_gettext as _l


def _key(typed: str) -> int | None:
    return int(typed) if typed and str(typed).isdigit() else None


class StudyForm(KeyedForm):
    """Record a study."""

    characteristic_id = SelectField(_l("What was measured"), coerce=_key, validators=[Optional()])
    lines = TextAreaField(
        _l("Values"),
        [InputRequired(_l("Type a line for each person and part.")), Length(max=50_000)],
        render_kw={"rows": 12, "spellcheck": "false", "autocomplete": "off"},
    )
    note = LineField(_l("Note"), [Optional(), Length(max=200, message=_l("Use 200 characters or fewer."))])

    def offer(self, characteristics: Sequence[tuple[int, str]]) -> None:
        """Offer what is measured with this kind of gauge."""
        self.characteristic_id.choices = [("", "–"), *characteristics]

    def to_input(self) -> NewStudy:
        """Hand the service typed values; call only after ``validate()``."""
        return NewStudy(self.lines.data or "", self.characteristic_id.data, self.note.data or "")
