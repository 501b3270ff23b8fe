"""How many pieces of a lot go into a load that several lots share."""

from collections.abc import Sequence
from typing import Any

from wtforms.validators import InputRequired

from app.lots.models import LotOperation
from app.shared.fields import WholeNumberField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _


class ShareForm(Form):
    """One lot's pieces in a shared load."""

    pieces = WholeNumberField(_("Pieces"), [InputRequired(_("Type how many pieces of this lot."))], least=1)

    @classmethod
    def of(cls, operation_id: int, pieces: int | None = None, **options: Any) -> "ShareForm":
        """Return the form of an operation with a proposed number, or what was sent of it."""
        return cls(data={"pieces": pieces}, prefix=f"lot{operation_id}-", **options)

    @classmethod
    def fresh(cls, operations: Sequence[LotOperation], taken: Sequence[int]) -> dict[int, "ShareForm"]:
        """Return the forms of a load as they are first shown."""
        return {each.id: cls.of(each.id, count, formdata=None) for each, count in zip(operations, taken, strict=True)}
