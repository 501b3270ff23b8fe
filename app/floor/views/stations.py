"""The stations to choose from, and the page for a tablet bolted to a machine."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import PATTERN
from app.extensions import db, open_to_all
from app.floor import queries
from app.floor.views.blueprint import bp
from app.floor.views.pages import fragment, station_page
from app.lots.queries.names import lot_name
from app.shared.clock import current_time
from app.shared.codes import read_code
from app.shared.errors import PlainError
from app.shared.web import render, see_other, wants_fragment


@bp.get("/floor")
@open_to_all
def floor() -> Response:
    """Show the stations to choose from and what each does."""
    return _floor_page()


def _floor_page(code: str = "", refusal: str = "", status: int = 200) -> Response:
    tiles = queries.station_tiles(db.session, current_time())
    return render(
        "floor/floor.html", tiles=tiles, lot_name=lot_name, pattern=PATTERN, code=code, refusal=refusal, status=status
    )


@bp.get("/floor/find")
@open_to_all
def find() -> Response:
    """Lead a code that was scanned or typed on the list of stations to its page, or say there what is wrong with it."""
    typed = request.args.get("code", "").strip()
    try:
        read_code(typed)
    except PlainError as error:
        return _floor_page(typed, str(error), 422)
    return see_other(url_for("floor.code", code=typed))


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
