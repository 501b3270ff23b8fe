"""The morning review."""

from flask import redirect, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE
from app.review import queries
from app.review.views import bp
from app.schedule.queries import awaits_order, why
from app.shared.clock import current_time
from app.shared.web import render


@bp.get("/")
@allowed(*EVERYONE)
def first_page() -> Response:
    """Lead to the morning review."""
    return redirect(url_for("review.review"), code=303)


@bp.get("/review")
@allowed(*EVERYONE)
def review() -> Response:
    """Show what needs somebody today."""
    found = queries.morning(db.session, current_time())
    return render("review/review.html", review=found, why=why, awaits_order=awaits_order)
