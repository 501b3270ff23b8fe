"""The search box, which a scan anywhere in the office ends in too."""

from flask import redirect, request
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE
from app.review import queries
from app.review.views import bp
from app.shared.web import render


@bp.get("/search")
@allowed(*EVERYONE)
def search() -> Response:
    """Find a lot, part, order, customer or heat; a code leads straight to what it names."""
    text = request.args.get("q", "").strip()
    code = queries.scanned(text)
    if code is not None:
        return redirect(f"/c/{code}", code=303)
    return render("review/search.html", text=text, found=queries.search(db.session, text))
