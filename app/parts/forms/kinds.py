"""The form for a kind of operation."""

from wtforms import SelectField
from wtforms.validators import InputRequired, Length

from app.parts.models import KindRole
from app.parts.services import NewKind
from app.shared.fields import LineField, LinesField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class KindForm(Form):
    """Add or change a kind of operation."""

    name = LineField(
        _l("Name"),
        [
            InputRequired(_l("Enter what the shop calls it, such as Milling.")),
            Length(max=60, message=_l("Use 60 characters or fewer.")),
        ],
        render_kw={"autocomplete": "off"},
    )
    role = SelectField(
        _l("What it means"),
        coerce=KindRole,
        choices=lambda: [(each.value, each.word) for each in (KindRole.STATION, KindRole.OUTSIDE, KindRole.BLANKS)],
    )
    caution = LinesField(
        _l("Cautions"),
        [Length(max=400, message=_l("Use 400 characters or fewer: one or two short lines are read, more are not."))],
        render_kw={"rows": 3},
    )

    def to_input(self) -> NewKind:
        """Hand the service typed values; call only after ``validate()``."""
        return NewKind(name=self.name.data or "", role=self.role.data, caution=self.caution.data or "")
