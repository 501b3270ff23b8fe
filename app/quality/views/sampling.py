"""Samples by lot size: the tables and their chances; no page leads here until the shop switches them on."""

from decimal import Decimal

from werkzeug.wrappers import Response

from app.core.quality.errors import BadInputError
from app.extensions import allowed
from app.parts.errors import fault_words
from app.people.models import EVERYONE
from app.quality import queries
from app.quality.forms import SamplingForm
from app.quality.views.blueprint import bp
from app.shared.web import render

USUAL_CONFIDENCE, HUNDRED = Decimal(95), 100


@bp.get("/sampling")
@allowed(*EVERYONE)
def sampling() -> Response:
    """Show what is taken of a lot by ISO 2859-1 and without a bad piece, how likely it passes, and the tables."""
    form = SamplingForm()
    sampled = None
    if not form.sent or form.validate():
        try:
            sampled = queries.sample_of(*form.to_asked())
        except BadInputError as error:
            sure = form.confidence.data
            form.put_error("share" if sure and sure < HUNDRED else "confidence", fault_words(error))
    confidence = form.confidence.data if sampled else USUAL_CONFIDENCE
    return render(
        "quality/sampling.html",
        form=form,
        sampled=sampled,
        confidence=confidence,
        table=queries.sampling_table(confidence or USUAL_CONFIDENCE),
        limits=queries.SHOWN_LIMITS,
        shares=queries.SHOWN_SHARES,
        status=422 if form.errors else 200,
    )
