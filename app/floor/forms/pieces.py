"""Forms about some pieces of an operation, its first piece and its components."""

from collections.abc import Iterable

from wtforms import HiddenField, PasswordField
from wtforms.fields import SelectField
from wtforms.validators import InputRequired, Optional, ValidationError

from app.floor.forms.reasons import ReasonKeys, chosen_reason, own_words
from app.floor.forms.sent import SentForm
from app.floor.services import PieceMove, Pieces
from app.lots.models import LotOperation
from app.shared.fields import LineField, WholeNumberField
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _

WITH_REASON = frozenset({PieceMove.HOLD, PieceMove.SCRAP, PieceMove.REWORK})


class ReasonForm(SentForm):
    """Why something is done, in a line."""

    reason = LineField(_("Why"), [InputRequired(_("Say why: choose or write a reason."))])


class PiecesForm(SentForm):
    """So many pieces of one operation, with a reason and another operation where the move asks for them."""

    code = HiddenField()
    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces."))])
    reason = ReasonKeys()
    words = own_words()
    other = SelectField(coerce=int, validate_choice=False)

    def shape(self, move: PieceMove, operation: LotOperation, reasons: Iterable[str]) -> None:
        """Show what the move asks for, and leave the rest out."""
        self.reason.offer(reasons)
        if move not in WITH_REASON:
            del self.reason, self.words
        if move is PieceMove.SCRAP:
            self.other.label.text = gettext("Caused by operation")
        elif move is PieceMove.REWORK:
            self.other.label.text = gettext("Back to operation")
        else:
            del self.other
            return
        upto = [each for each in operation.lot.operations if each.number <= operation.number and not each.skipped]
        choices = [(each.id, f"{each.number} {each.title}".strip()) for each in reversed(upto)]
        self.other.choices = choices[1:] if move is PieceMove.REWORK else choices

    def validate_words(self, _field: LineField) -> None:
        """Ask for a reason."""
        if not chosen_reason(self.reason, self.words):
            raise ValidationError(gettext("Say why: choose or write a reason."))

    def to_input(self, operation_id: int) -> Pieces:
        """Hand the service typed values; call only after ``validate()``."""
        return Pieces(
            operation_id=operation_id,
            pieces=self.pieces.data or 0,
            reason=chosen_reason(self.reason, self.words) if "reason" in self else "",
            other_id=(self.other.data or None) if "other" in self else None,
        )


class FirstPieceForm(SentForm):
    """Who found the first piece good: the person who acts, or who shows their badge, with its PIN once a day."""

    code = HiddenField()
    pin = PasswordField(_("PIN"), [Optional()])


class ComponentForm(SentForm):
    """How many components came from a lot or receipt."""

    code = HiddenField()
    source = HiddenField()
    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces."))], least=1)
