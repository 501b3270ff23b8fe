"""The form in which somebody decides about suspect pieces."""

from collections.abc import Sequence

from wtforms import HiddenField, RadioField, SelectField
from wtforms.validators import InputRequired, Length

from app.lots.models import LotOperation
from app.quality.models import Nonconformance, Outcome
from app.quality.queries import Whereabouts
from app.quality.services import NewDisposition
from app.shared.fields import AmountField, LineField, MayBeBlank, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l

IN_STOCK = "stock"
LONG = Length(max=200, message=_l("Use 200 characters or fewer."))


def _key(typed: str) -> int | None:
    return int(typed) if typed and str(typed).isdigit() else None


def _place(typed: str | int | None) -> str:
    """Return a place as the form sends it: the key of an operation, or that the pieces are in stock."""
    return IN_STOCK if typed is None else str(typed)


class DispositionForm(KeyedForm):
    """Decide about some of the suspect pieces."""

    left = HiddenField()
    outcome = RadioField(
        _l("They are"),
        [InputRequired(_l("Choose what becomes of them."))],
        choices=lambda: [(each.value, each.word) for each in Outcome],
    )
    pieces = WholeNumberField(_l("Pieces"), [InputRequired(_l("Type how many pieces."))])
    reason = LineField(_l("Why"), [InputRequired(_l("Say why: it stays on record.")), LONG])
    at_operation_id = SelectField(_l("Where they are"), coerce=_place)
    to_operation_id = SelectField(_l("Rework from operation"), coerce=_key, validators=[MayBeBlank()])
    cost = AmountField(_l("Cost of the scrap"), [MayBeBlank()], digits=2, render_kw={"inputmode": "decimal"})
    agreed_by = LineField(_l("Who at the customer agreed"), [MayBeBlank(), LONG])
    vendor_id = SelectField(_l("Vendor"), coerce=_key, validators=[MayBeBlank()])

    def offer(self, found: Nonconformance, here: Whereabouts, vendors: Sequence[tuple[int, str]]) -> None:
        """Offer the operations at which the pieces are, those they can go back to, and the vendors."""
        places = list(here.operations)
        if here.found_at not in places:
            places.insert(0, here.found_at)
        stock = [(IN_STOCK, gettext("finished, in stock"))] if here.in_stock else []
        self.at_operation_id.choices = [*stock, *((str(each.id), _title(each)) for each in places)]
        operations = [each for each in found.lot.operations if not each.skipped]
        back = operations if stock else [each for each in operations if each.number <= places[-1].number]
        self.to_operation_id.choices = [("", "–"), *((each.id, _title(each)) for each in back)]
        self.vendor_id.choices = [("", "–"), *vendors]

    def to_input(self) -> NewDisposition:
        """Hand the service typed values; call only after ``validate()``."""
        left = self.left.data or ""
        return NewDisposition(
            outcome=Outcome(self.outcome.data),
            pieces=self.pieces.data or 0,
            left=int(left) if left.isdigit() else -1,
            at_operation_id=_key(self.at_operation_id.data),
            reason=self.reason.data or "",
            to_operation_id=self.to_operation_id.data,
            cost=self.cost.data,
            agreed_by=self.agreed_by.data or "",
            vendor_id=self.vendor_id.data,
        )


def _title(operation: LotOperation) -> str:
    return f"{operation.number} {operation.title}".strip()
