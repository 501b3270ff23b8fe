"""The form for a note."""

from wtforms.fields import RadioField
from wtforms.validators import InputRequired, Length

from app.floor.forms.sent import SentForm
from app.floor.services import NewNote
from app.lots.models import Lot
from app.lots.queries.names import lot_name
from app.shared.fields import LineField
from app.shared.web import KeyedForm
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _

_TEXT = (
    InputRequired(_("Write what the next one should know.")),
    Length(max=300, message=_("Use 300 characters or fewer.")),
)


class NoteForm(SentForm):
    """A note at a station: for the next shift, for whoever works here, or on a lot."""

    text = LineField(_("Note"), _TEXT)
    about = RadioField(_("For"), validate_choice=False, default="shift")

    def offer(self, lots: list[Lot]) -> None:
        """Show what a note can be about."""
        on_lots = [(f"lot{lot.id}", gettext("Lot %(lot)s, wherever it goes", lot=lot_name(lot))) for lot in lots]
        self.about.choices = [
            ("shift", gettext("The next shift here")),
            ("station", gettext("Everybody here, until taken down")),
            *on_lots,
        ]

    def to_input(self) -> NewNote:
        """Hand the service typed values; call only after ``validate()``."""
        about = str(self.about.data or "")
        lot_id = int(about[3:]) if about[:3] == "lot" and about[3:].isdigit() else None
        return NewNote(self.text.data or "", lot_id, next_shift=about == "shift")


class LotNoteForm(KeyedForm):
    """A note on a lot, from its page."""

    text = LineField(_("Note"), _TEXT)
