"""Forms about some pieces of an operation: counted, sent ahead, split, held, released, scrap, rework."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import PiecesForm
from app.floor.services import PieceMove
from app.floor.views.blueprint import bp
from app.floor.views.in_form import scan_in_form, typed_before, with_what_was_typed
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.models import LotOperation
from app.lots.queries.jobs import counted_by_station
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations.models import ReasonUse
from app.stations.queries import usual_reasons

MOVES = "any('counts','sent-ahead','splits','holds','releases','scraps','reworks')"
ADDRESS = f"/floor/stations/<int:station_id>/operations/<int:operation_id>/<{MOVES}:move>"


@bp.get(ADDRESS)
@open_to_all
def pieces(station_id: int, operation_id: int, move: str) -> Response:
    """Ask for the pieces and what else the move needs."""
    found = queries.operation_at(db.session, operation_id)
    usual = _usual(found, PieceMove(move), station_id)
    typed = request.args if typed_before(["pieces", "reason", "words", "other"]) else None
    form = PiecesForm(formdata=typed, data={"pieces": usual or None, "other": operation_id})
    form.shape(PieceMove(move), found, usual_reasons(db.session, ReasonUse.SCRAP))
    return _page(station_id, found, PieceMove(move), form)


def _usual(operation: LotOperation, move: PieceMove, station_id: int) -> int:
    """Return the number that is filled in: what was counted to send ahead, what is held to release, all to hold."""
    match move:
        case PieceMove.SEND_AHEAD:
            return counted_by_station(db.session, [operation.id]).get((operation.id, station_id), 0)
        case PieceMove.RELEASE:
            return operation.held
        case PieceMove.HOLD:
            return operation.present - operation.held
        case _:
            return 0


def _page(
    station_id: int, operation: LotOperation, move: PieceMove, form: PiecesForm, refusal: Refusal | None = None
) -> Response:
    wrong = refusal is not None or bool(form.errors)
    return show(
        "floor/pieces.html",
        station_id,
        operation=operation,
        move=move.value,
        words=_words(move),
        form=form,
        refusal=refusal,
        status=422 if wrong else 200,
    )


@bp.post(ADDRESS)
@open_to_all
def add_pieces(station_id: int, operation_id: int, move: str) -> Response:
    """Carry the move out, or show the form again with what is wrong."""
    found = queries.operation_at(db.session, operation_id)
    what = PieceMove(move)
    form = PiecesForm()
    form.shape(what, found, usual_reasons(db.session, ReasonUse.SCRAP))
    code = (form.code.data or "").strip()
    refusal: Refusal | None = None
    try:
        sent = form.to_sent(station_id, current_time())
        if code:
            shown_at = with_what_was_typed("floor.pieces", station_id=station_id, operation_id=operation_id, move=move)
            return scan_in_form(sent, [operation_id], code, shown_at)
        if form.validate():
            services.move_pieces(db.session, sent, what, form.to_input(operation_id))
            flash(_words(what)[2] % {"pieces": form.pieces.data}, "note")
            return see_other(url_for("floor.station", station_id=station_id))
    except PlainError as error:
        refusal = refusal_of(error, station_id, operation_id)
    return _page(station_id, queries.operation_at(db.session, operation_id), what, form, refusal)


def _words(move: PieceMove) -> tuple[str, str, str]:
    """Return the heading, the key and what is said afterwards."""
    words = {
        PieceMove.COUNT: (
            gettext("Counted so far"),
            gettext("Record the count"),
            gettext("%(pieces)s counted so far."),
        ),
        PieceMove.SEND_AHEAD: (
            gettext("Send pieces ahead"),
            gettext("Send ahead"),
            gettext("%(pieces)s sent ahead to the next operation."),
        ),
        PieceMove.SPLIT: (
            gettext("Split pieces off"),
            gettext("Split off"),
            gettext("%(pieces)s split off as a lot of their own. Print its traveler in the office."),
        ),
        PieceMove.HOLD: (gettext("Hold pieces"), gettext("Hold"), gettext("%(pieces)s held.")),
        PieceMove.RELEASE: (gettext("Release held pieces"), gettext("Release"), gettext("%(pieces)s released.")),
        PieceMove.SCRAP: (gettext("Scrap found here"), gettext("Scrap"), gettext("%(pieces)s scrapped.")),
        PieceMove.REWORK: (
            gettext("Back to an earlier operation"),
            gettext("Send back"),
            gettext("%(pieces)s sent back to rework."),
        ),
    }
    return words[move]
