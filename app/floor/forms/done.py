"""The 'done' form of one lot: what came out of its operation."""

from collections.abc import Sequence
from typing import Any

from wtforms.fields import SelectField
from wtforms.validators import InputRequired, Optional, ValidationError

from app.floor.forms.reasons import ReasonKeys, chosen_reason, own_words
from app.lots.models import LotOperation
from app.lots.services import Rework, Scrap, SignOff
from app.shared.fields import WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _


class ResultForm(Form):
    """Good pieces, scrap and rework of one lot; ``offered`` is the number of good pieces that was filled in."""

    good = WholeNumberField(_("Good pieces"), [InputRequired(_("Type how many pieces are good; 0 for none."))])
    offered = WholeNumberField("", [Optional()])
    scrap = WholeNumberField(_("Scrap"), [Optional()])
    scrap_reason = ReasonKeys()
    scrap_words = own_words()
    cause = SelectField(_("Caused by operation"), coerce=int, validate_choice=False)
    rework = WholeNumberField(_("Back to rework"), [Optional()])
    rework_to = SelectField(_("Back to operation"), coerce=int, validate_choice=False)
    rework_reason = ReasonKeys()
    rework_words = own_words()

    @classmethod
    def of(cls, operation_id: int, pieces: int = 0, **options: Any) -> "ResultForm":
        """Return the form of an operation with so many pieces in it, or what was sent of it."""
        data = {"good": pieces, "offered": pieces, "cause": operation_id}
        return cls(data=data, prefix=f"lot{operation_id}-", **options)

    def offer(self, operation: LotOperation, reasons: Sequence[str]) -> None:
        """Show the usual reasons, and the operations that scrap may be caused by and rework may go back to."""
        self.scrap_reason.offer(reasons)
        self.rework_reason.offer(reasons)
        upto = [each for each in operation.lot.operations if each.number <= operation.number and not each.skipped]
        choices = [(each.id, f"{each.number} {each.title}".strip()) for each in reversed(upto)]
        self.cause.choices = choices
        self.rework_to.choices = choices[1:]

    @property
    def aside(self) -> int:
        """Return how many pieces are not good."""
        return (self.scrap.data or 0) + (self.rework.data or 0)

    @property
    def good_pieces(self) -> int:
        """Return the good pieces: all that are not named otherwise, while the number filled in was left as it was."""
        good = self.good.data or 0
        return good - self.aside if self.aside and good == self.offered.data else good

    def validate_good(self, _field: WholeNumberField) -> None:
        """Refuse more scrap and rework than there are pieces."""
        if self.good_pieces < 0:
            raise ValidationError(gettext("Scrap and rework are more than the pieces that are here."))

    def validate_scrap_words(self, _field: Any) -> None:
        """Ask for a reason where pieces are scrap."""
        if self.scrap.data and not chosen_reason(self.scrap_reason, self.scrap_words):
            raise ValidationError(gettext("Say why: choose or write a reason."))

    def validate_rework_words(self, _field: Any) -> None:
        """Ask for a reason and a place where pieces go back."""
        if self.rework.data and not self.rework_to.data:
            raise ValidationError(gettext("There is no earlier operation to send them back to."))
        if self.rework.data and not chosen_reason(self.rework_reason, self.rework_words):
            raise ValidationError(gettext("Say why: choose or write a reason."))

    def to_input(self, operation_id: int) -> SignOff:
        """Hand the service typed values; call only after ``validate()``."""
        scrap = Scrap(
            self.scrap.data or 0, chosen_reason(self.scrap_reason, self.scrap_words), self.cause.data or operation_id
        )
        rework = Rework(
            self.rework.data or 0, self.rework_to.data or 0, chosen_reason(self.rework_reason, self.rework_words)
        )
        return SignOff(
            operation_id,
            self.good_pieces,
            (scrap,) if scrap.pieces else (),
            (rework,) if rework.pieces else (),
        )
