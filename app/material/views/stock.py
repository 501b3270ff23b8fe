"""The page of what is at hand."""

from flask import request
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.material import queries
from app.material.views.blueprint import bp
from app.people.models import EVERYONE
from app.shared.fields import one_line
from app.shared.web import render, typed_page


@bp.get("/material")
@allowed(*EVERYONE)
def stock() -> Response:
    """Show the receipts that have pieces at hand."""
    text = one_line(request.args.get("q"))
    return render(
        "material/stock.html",
        text=text,
        found=queries.at_hand_page(db.session, text, typed_page()),
        any_receipts=queries.any_receipts(db.session),
    )
