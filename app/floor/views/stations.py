"""The stations to choose from, and the page for a tablet bolted to a machine."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import PATTERN
from app.extensions import current_time, db, open_to_all
from app.floor import queries, services
from app.floor.forms import ReasonForm, SentForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import fragment, show, station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.queries.names import lot_name
from app.shared.errors import PlainError
from app.shared.web import render, see_other, wants_fragment
from app.shared.words import gettext
from app.stations.models import ReasonUse
from app.stations.queries import get_station, usual_reasons


@bp.get("/floor")
@open_to_all
def floor() -> Response:
    """Show the stations to choose from and what each does."""
    tiles = queries.station_tiles(db.session, current_time())
    return render("floor/floor.html", tiles=tiles, lot_name=lot_name, pattern=PATTERN)


@bp.get("/floor/find")
@open_to_all
def find() -> Response:
    """Lead a code that was scanned or typed on the list of stations to its page."""
    return see_other(url_for("floor.code", code=request.args.get("code", "").strip() or "-"))


@bp.get("/floor/stations/<int:station_id>")
@open_to_all
def station(station_id: int) -> Response:
    """Show a station's page, or for a poll what runs and comes next where that is new."""
    if not wants_fragment():
        return station_page(station_id)
    board = queries.board(db.session, station_id, current_time())
    return fragment("floor/_board.html", board.frame, board=board)


@bp.get("/floor/stations/<int:station_id>/people")
@open_to_all
def people(station_id: int) -> Response:
    """Show who is signed on, for a poll; somebody may have been away for longer than the shop's idle time."""
    frame = queries.frame(db.session, station_id, current_time())
    if not wants_fragment():
        return see_other(url_for("floor.station", station_id=station_id))
    return fragment("floor/_people.html", frame)


@bp.get("/floor/stations/<int:station_id>/downtimes")
@open_to_all
def downtimes(station_id: int) -> Response:
    """Ask why the station is down."""
    return _down_page(station_id, ReasonForm())


def _down_page(station_id: int, form: ReasonForm, refusal: Refusal | None = None, status: int = 200) -> Response:
    reasons = usual_reasons(db.session, ReasonUse.DOWNTIME)
    return show("floor/down.html", station_id, form=form, reasons=reasons, refusal=refusal, status=status)


@bp.post("/floor/stations/<int:station_id>/downtimes")
@open_to_all
def add_downtime(station_id: int) -> Response:
    """Say that the station is down from now on."""
    form = ReasonForm()
    refusal: Refusal | None = None
    if form.validate():
        try:
            sent = form.to_sent(station_id, current_time())
            services.say_down(db.session, sent, form.reason.data or "")
            return see_other(url_for("floor.station", station_id=station_id))
        except PlainError as error:
            refusal = refusal_of(error, station_id)
    return show(
        "floor/down.html",
        station_id,
        form=form,
        reasons=usual_reasons(db.session, ReasonUse.DOWNTIME),
        refusal=refusal,
        status=422,
    )


@bp.post("/floor/stations/<int:station_id>/downtimes/end")
@open_to_all
def end_downtime(station_id: int) -> Response:
    """Say that the station is back."""
    get_station(db.session, station_id)
    try:
        services.say_back(db.session, SentForm().to_sent(station_id, current_time()))
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    flash(gettext("The station is back."), "note")
    return see_other(url_for("floor.station", station_id=station_id))
