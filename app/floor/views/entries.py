"""What was recorded here lately, and undoing it."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.errors import EntryNotFoundError
from app.floor.forms import SentForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.services.undo import UNDOABLE_HERE
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext


@bp.get("/floor/stations/<int:station_id>/entries")
@open_to_all
def entries(station_id: int) -> Response:
    """Show the last entries of the station, each with what can be undone."""
    return _page(station_id)


def _page(station_id: int, refusal: Refusal | None = None) -> Response:
    recent = queries.recent_entries(db.session, station_id)
    status = 422 if refusal else 200
    return show("floor/entries.html", station_id, recent=recent, undoable=UNDOABLE_HERE, refusal=refusal, status=status)


@bp.post("/floor/stations/<int:station_id>/undos")
@open_to_all
def add_undo(station_id: int) -> Response:
    """Undo one entry of the station."""
    posting_id = request.form.get("posting", type=int) or 0
    try:
        services.undo_entry(db.session, SentForm().to_sent(station_id, current_time()), posting_id)
    except EntryNotFoundError:
        raise
    except PlainError as error:
        return _page(station_id, refusal_of(error, station_id))
    flash(gettext("Undone."), "note")
    return see_other(url_for("floor.entries", station_id=station_id))
