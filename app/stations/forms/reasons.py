"""A usual reason for scrap or downtime."""

from wtforms.validators import InputRequired, Length

from app.shared.fields import LineField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class ReasonForm(Form):
    """Add a reason that stations offer as a key: short, because it stands on a button."""

    words = LineField(
        _l("Another reason"),
        [InputRequired(_l("Type the reason.")), Length(max=40, message=_l("Use 40 characters or fewer."))],
    )
