"""A page for a person who runs several machines: what runs where, and what wants hands next."""

from werkzeug.wrappers import Response

from app.core.scan_code import PATTERN
from app.extensions import db, open_to_all
from app.floor import queries
from app.floor.views.blueprint import bp
from app.floor.views.pages import tagged
from app.lots.queries.names import lot_name
from app.shared.clock import current_time
from app.shared.web import render, wants_fragment


@bp.get("/floor/people/<int:person_id>")
@open_to_all
def person(person_id: int) -> Response:
    """Show what a person has running and what wants their hands next, or for a poll that part where it is new."""
    found = queries.person_page(db.session, person_id, current_time())
    if wants_fragment():
        return tagged("floor/_hands.html", hands=found, lot_name=lot_name)
    return render("floor/person.html", hands=found, lot_name=lot_name, pattern=PATTERN)
