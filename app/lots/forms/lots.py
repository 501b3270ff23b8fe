"""What a person types about lots."""

from typing import Any

from wtforms import BooleanField, DateField, FieldList, FormField, HiddenField, SelectField
from wtforms.fields import IntegerField
from wtforms.validators import InputRequired, Length, Optional

from app.lots.models import Lot, LotOperation
from app.lots.services import Count, NewLot, Share
from app.people.models import Person
from app.shared.fields import LineField, WholeNumberField
from app.shared.web import Form, KeyedForm
from app.shared.words import lazy_gettext as _

REASON_LENGTH = 200


class ShareForm(Form):
    """One delivery that the lot may serve."""

    delivery_id = HiddenField()
    chosen = BooleanField(_("For this lot"))
    quantity = WholeNumberField(_("Pieces"), [Optional()], least=1)


class ReleaseForm(KeyedForm):
    """The release of a lot."""

    revision_id = IntegerField(_("Revision"), [InputRequired(_("Choose a part and revision"))])
    shares = FieldList(FormField(ShareForm))
    needed = WholeNumberField(_("Good pieces needed"), [InputRequired(_("Type how many good pieces are needed"))])
    to_start = WholeNumberField(_("Pieces to start"), [Optional()], least=1)
    due_on = DateField(_("Wanted by"), [Optional()])
    issue_blanks = BooleanField(_("Issue the blanks at hand, oldest first"), default=True)

    def chosen_shares(self) -> tuple[Share, ...]:
        """Return the deliveries that are ticked; one without a quantity is left out."""
        found = []
        for row in self.shares:
            delivery_id = str(row.form.delivery_id.data or "")
            if row.form.chosen.data and row.form.quantity.data and delivery_id.isdigit():
                found.append(Share(int(delivery_id), row.form.quantity.data))
        return tuple(found)

    def to_input(self, to_start: int, reason: str) -> NewLot:
        """Hand the service typed values; call only after ``validate()``."""
        shares = self.chosen_shares()
        return NewLot(
            revision_id=self.revision_id.data or 0,
            needed=self.needed.data or 0,
            to_start=to_start,
            start_reason=reason,
            shares=shares,
            due_on=None if shares else self.due_on.data,
            issue_blanks=bool(self.issue_blanks.data),
        )


class ReasonForm(KeyedForm):
    """Why a lot goes on hold."""

    reason = LineField(_("Why"), [InputRequired(_("Say why")), Length(max=REASON_LENGTH)])


class KeyForm(KeyedForm):
    """A button that makes a change: nothing but its key."""


class FewerForm(KeyedForm):
    """How many pieces are not started after all."""

    pieces = WholeNumberField(_("Pieces fewer"), [InputRequired(_("Type how many pieces"))], least=1)


class PiecesForm(KeyedForm):
    """Some pieces at one operation of a lot."""

    operation_id = SelectField(_("At operation"), coerce=int)
    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces"))], least=1)

    def offer(self, operations: list[LotOperation]) -> None:
        """Let one of the lot's operations be chosen."""
        self.operation_id.choices = [(each.id, f"{each.number} {each.title}".strip()) for each in operations]


class AsideForm(PiecesForm):
    """Pieces that are held, released, scrapped or sent back, with the reason."""

    reason = LineField(_("Why"), [Length(max=REASON_LENGTH)])
    other_operation_id = SelectField(_("Caused at, or back to"), coerce=int, validate_choice=False)

    def offer(self, operations: list[LotOperation]) -> None:
        """Let one of the lot's operations be chosen for both."""
        super().offer(operations)
        self.other_operation_id.choices = [
            (0, _("the same operation")),
            *((each.id, f"{each.number} {each.title}".strip()) for each in operations),
        ]


class IssueForm(KeyedForm):
    """Blanks of a receipt for a lot."""

    receipt_id = SelectField(_("Receipt"), coerce=int)
    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces"))], least=1)


class CountForm(KeyedForm):
    """What somebody counted at one place of a lot."""

    place = SelectField(_("Where"))
    """An operation's id, or 0 for stock, and what the books had when the form was shown: ``12-40``."""
    pieces = WholeNumberField(_("Pieces really there"), [InputRequired(_("Type how many you counted"))])
    person_id = SelectField(_("Who counted"), coerce=int)
    reason = LineField(
        _("Why they differ"), [InputRequired(_("Say why, or that nobody knows")), Length(max=REASON_LENGTH)]
    )

    def offer(self, lot: Lot, people: list[Person], by: int) -> None:
        """Offer the lot's places with what the books say, and the people; ``by`` is chosen unless another is sent."""
        books = _("%(place)s: %(pieces)s in the books")
        places = [(f"{each.id}-{each.present}", f"{each.number} {each.title}", each.present) for each in lot.operations]
        places.append((f"0-{lot.in_stock}", str(_("Finished, in stock")), lot.in_stock))
        self.place.choices = [(key, books % {"place": place, "pieces": pieces}) for key, place, pieces in places]
        self.place.validate_choice = False  # the books may have changed since: the service says so
        self.person_id.choices = [(each.id, each.name) for each in people]
        if self.person_id.data is None:
            self.person_id.data = by

    def to_input(self) -> Count:
        """Hand the service typed values; call only after ``validate()``."""
        operation, _dash, books = (self.place.data or "").partition("-")
        return Count(
            operation_id=int(operation) if operation.isdigit() and int(operation) else None,
            pieces=self.pieces.data or 0,
            in_the_books=int(books) if books.isdigit() else 0,
            reason=self.reason.data or "",
        )


class TouchedForm(KeyedForm):
    """What becomes of a lot whose delivery the customer changed their mind about."""

    pieces = WholeNumberField(_("Pieces (empty: all that can be)"), [Optional()], least=1)
    reason = LineField(
        _("Why it is stopped or scrapped (empty: customer cancelled)"), [Optional(), Length(max=REASON_LENGTH)]
    )

    @staticmethod
    def prefix_of(lot_id: int) -> str:
        """Tell the form of one lot from the others of its page."""
        return f"lot-{lot_id}-"


class MeanForForm(KeyedForm):
    """How many free pieces of a lot a delivery gets."""

    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces"))], least=1)
    prefix = ""

    def __init__(self, *, prefix: str, **options: Any) -> None:
        super().__init__(prefix=prefix, **options)
        self.prefix = prefix

    @staticmethod
    def prefix_of(delivery_id: int, lot_id: int) -> str:
        """Tell the form of one lot and delivery from the others of its page."""
        return f"use-{delivery_id}-{lot_id}-"

    @classmethod
    def fresh(cls, delivery_id: int, lot_id: int, pieces: int) -> "MeanForForm":
        """Return the form as it is first shown."""
        return cls(prefix=cls.prefix_of(delivery_id, lot_id), formdata=None, data={"pieces": pieces})
