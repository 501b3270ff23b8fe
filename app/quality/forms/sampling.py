"""What is asked about samples by lot size; it comes with the address."""

from decimal import Decimal

from flask import request
from wtforms import SelectField
from wtforms.validators import InputRequired

from app.core.quality.sampling_plans import QUALITY_LIMITS
from app.shared.fields import AmountField, WholeNumberField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l

LARGEST_LOT = 100_000


class SamplingForm(Form):
    """The lot, the quality limit of ISO 2859-1, and what a sample without a bad piece has to find how surely."""

    lot = WholeNumberField(
        _l("Pieces in the lot"), [InputRequired(_l("Type how many pieces."))], least=1, most=LARGEST_LOT
    )
    quality_limit = SelectField(
        _l("Quality limit (AQL), percent"),
        coerce=Decimal,
        choices=lambda: [(str(each), str(each)) for each in QUALITY_LIMITS],
    )
    share = AmountField(_l("Percent bad to be found"), [InputRequired(_l("Type a percentage, such as 2."))], digits=3)
    confidence = AmountField(_l("Confidence, percent"), [InputRequired(_l("Type a percentage, such as 95."))], digits=3)

    def __init__(self) -> None:
        self.sent = "lot" in request.args
        usual = {"lot": 200, "quality_limit": Decimal("1.0"), "share": Decimal(2), "confidence": Decimal(95)}
        super().__init__(formdata=request.args if self.sent else None, data=usual)

    def to_asked(self) -> tuple[int, Decimal, Decimal, Decimal]:
        """Return lot, quality limit, share and confidence; call only after ``validate()``, or where none was sent."""
        lot, share, confidence = self.lot.data, self.share.data, self.confidence.data
        if lot is None or share is None or confidence is None:
            raise ValueError("validate first")
        return lot, self.quality_limit.data, share, confidence
