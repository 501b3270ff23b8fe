"""The 'done' form of one lot: what came out of its operation."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import wtforms
from wtforms.fields import FieldList, FormField, SelectField
from wtforms.validators import InputRequired, Optional, ValidationError

from app.floor.forms.reasons import ReasonKeys, chosen_reason, own_words
from app.lots.models import LotOperation
from app.lots.services import Rework, Scrap, SignOff
from app.shared.fields import WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _

MORE_REASONS = 2


class MoreFields(wtforms.Form):
    """Further pieces that are not good, for a reason or from an operation of their own."""

    pieces = WholeNumberField(_("Pieces"), [Optional()])
    reason = ReasonKeys()
    words = own_words()
    operation = SelectField(_("Operation"), coerce=int, validate_choice=False)

    def validate_words(self, _field: Any) -> None:
        """Ask for a reason, and for a place to go back to, where there are pieces."""
        if self.pieces.data and not self.operation.data:
            raise ValidationError(gettext("There is no earlier operation to send them back to."))
        if self.pieces.data and not self.why:
            raise ValidationError(gettext("Say why: choose or write a reason."))

    @property
    def why(self) -> str:
        """Return the reason as given."""
        return chosen_reason(self.reason, self.words)


class MoreRows(FieldList):  # type: ignore[type-arg]  # generic in the stubs alone
    """Further rows, of which hardly any is ever filled in.

    Those behind the last one that says something are made only where the form is shown, as they were sent.
    """

    def __init__(self, **options: Any) -> None:
        super().__init__(FormField(MoreFields), max_entries=MORE_REASONS, **options)

    def process(self, formdata: Any, *given: Any, **options: Any) -> None:
        """Take the rows that say something, and keep what was sent for the others."""
        self.sent = formdata
        super().process(formdata, *given, **options)

    def _extract_indices(self, prefix: str, formdata: Any) -> Iterable[int]:
        said = (
            number
            for number in range(MORE_REASONS)
            if any(formdata.get(f"{prefix}-{number}-{name}") for name in ("pieces", "reason", "words"))
        )
        return range(max(said, default=-1) + 1)

    def show_all(self) -> None:
        """Make the other rows too."""
        while len(self.entries) < MORE_REASONS:
            self._add_entry(self.sent)  # type: ignore[attr-defined]  # the stubs leave it out


class ResultForm(Form):
    """Good pieces, scrap and rework of one lot; ``offered`` is the number of good pieces that was filled in."""

    good = WholeNumberField(_("Good pieces"), [InputRequired(_("Type how many pieces are good; 0 for none."))])
    offered = WholeNumberField("", [Optional()])
    scrap = WholeNumberField(_("Scrap"), [Optional()])
    scrap_reason = ReasonKeys()
    scrap_words = own_words()
    cause = SelectField(_("Caused by operation"), coerce=int, validate_choice=False)
    more_scrap = MoreRows()
    rework = WholeNumberField(_("Back to rework"), [Optional()])
    rework_to = SelectField(_("Back to operation"), coerce=int, validate_choice=False)
    rework_reason = ReasonKeys()
    rework_words = own_words()
    more_rework = MoreRows()

    @classmethod
    def of(cls, operation_id: int, pieces: int = 0, **options: Any) -> "ResultForm":
        """Return the form of an operation with so many pieces in it, or what was sent of it."""
        more = [{"operation": operation_id}] * MORE_REASONS
        data = {"good": pieces, "offered": pieces, "cause": operation_id, "more_scrap": more}
        return cls(data=data, prefix=f"lot{operation_id}-", **options)

    def offer(self, operation: LotOperation, reasons: Sequence[str]) -> None:
        """Show the usual reasons, and the operations that scrap may be caused by and rework may go back to."""
        self.scrap_reason.offer(reasons)
        self.rework_reason.offer(reasons)
        upto = [each for each in operation.lot.operations if each.number <= operation.number and not each.skipped]
        choices = [(each.id, f"{each.number} {each.title}".strip()) for each in reversed(upto)]
        self.cause.choices = choices
        self.rework_to.choices = choices[1:]
        for rows, operations in ((self.more_scrap, choices), (self.more_rework, choices[1:])):
            rows.show_all()
            for row in rows:
                row.form.reason.offer(reasons)
                row.form.operation.choices = operations

    @property
    def aside(self) -> int:
        """Return how many pieces are not good."""
        more = [row.form.pieces.data or 0 for rows in (self.more_scrap, self.more_rework) for row in rows]
        return (self.scrap.data or 0) + (self.rework.data or 0) + sum(more)

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
        return SignOff(
            operation_id,
            self.good_pieces,
            tuple(each for each in self._scrap(operation_id) if each.pieces),
            tuple(each for each in self._rework() if each.pieces),
        )

    def _scrap(self, operation_id: int) -> Iterator[Scrap]:
        why = chosen_reason(self.scrap_reason, self.scrap_words)
        yield Scrap(self.scrap.data or 0, why, self.cause.data or operation_id)
        for row in self.more_scrap:
            yield Scrap(row.form.pieces.data or 0, row.form.why, row.form.operation.data or operation_id)

    def _rework(self) -> Iterator[Rework]:
        why = chosen_reason(self.rework_reason, self.rework_words)
        yield Rework(self.rework.data or 0, self.rework_to.data or 0, why)
        for row in self.more_rework:
            yield Rework(row.form.pieces.data or 0, row.form.operation.data or 0, row.form.why)
