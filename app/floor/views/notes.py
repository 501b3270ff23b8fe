"""Notes on lots, stations and shifts, and what the last shift left."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, open_to_all, sign_in
from app.floor import queries, services
from app.floor.forms import LotNoteForm, NoteForm, SentForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import show, station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.queries import get_lot, lot_name
from app.people.models import EVERYONE
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import render, see_other
from app.shared.words import gettext
from app.stations.services import Said


@bp.get("/floor/stations/<int:station_id>/notes")
@open_to_all
def notes(station_id: int) -> Response:
    """Ask for a note; ``?lot=`` names a lot that it may be about."""
    return _note_page(station_id, NoteForm())


def _note_page(station_id: int, form: NoteForm, refusal: Refusal | None = None, status: int = 200) -> Response:
    work = queries.open_work(db.session, station_id)
    lots = {each.lot.id: each.lot for one in work for each in one.jobs}
    asked = request.args.get("lot", type=int)
    if asked is not None:
        lots[asked] = get_lot(db.session, asked)
        form.about.data = form.about.data if request.method == "POST" else f"lot{asked}"
    form.offer(list(lots.values()))
    return show("floor/note.html", station_id, form=form, refusal=refusal, status=status)


@bp.post("/floor/stations/<int:station_id>/notes")
@open_to_all
def add_note(station_id: int) -> Response:
    """Leave a note at a station."""
    form = NoteForm()
    if not form.validate():
        return _note_page(station_id, form, status=422)
    try:
        services.leave_note(db.session, form.to_sent(station_id, current_time()), form.to_input())
    except PlainError as error:
        return _note_page(station_id, form, refusal_of(error, station_id), 422)
    flash(gettext("The note is left."), "note")
    return see_other(url_for("floor.station", station_id=station_id))


@bp.post("/floor/stations/<int:station_id>/notes/<int:note_id>/end")
@open_to_all
def end_note(station_id: int, note_id: int) -> Response:
    """Take a note down at a station."""
    try:
        services.take_down_note(db.session, SentForm().to_sent(station_id, current_time()), note_id)
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    return see_other(url_for("floor.station", station_id=station_id))


@bp.get("/floor/stations/<int:station_id>/hand-over")
@open_to_all
def hand_over(station_id: int) -> Response:
    """Show what the last shift left, also after it was seen."""
    frame = queries.frame(db.session, station_id, current_time())
    found = queries.hand_over(db.session, frame.station, current_time())
    work = queries.open_work(db.session, station_id)
    return show("floor/hand_over.html", station_id, frame=frame, hand_over=found, work=work)


@bp.post("/floor/stations/<int:station_id>/hand-over/seen")
@open_to_all
def add_hand_over_seen(station_id: int) -> Response:
    """Say that the person signed on has seen what the last shift left."""
    try:
        services.see_hand_over(db.session, SentForm().to_sent(station_id, current_time()))
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    return see_other(url_for("floor.station", station_id=station_id))


@bp.get("/floor/lots/<int:lot_id>/notes")
@allowed(*EVERYONE)
def lot_notes(lot_id: int) -> Response:
    """Show the notes on a lot, for the lot's own page."""
    return _lot_notes(lot_id, LotNoteForm(formdata=None))


def _lot_notes(lot_id: int, form: LotNoteForm, status: int = 200) -> Response:
    lot = get_lot(db.session, lot_id)
    return render(
        "floor/lot_notes.html",
        fragment="floor/_lot_notes.html",
        status=status,
        lot=lot,
        lot_name=lot_name,
        notes=queries.lot_notes(db.session, lot_id),
        form=form,
    )


@bp.post("/floor/lots/<int:lot_id>/notes")
@allowed(*EVERYONE)
def add_lot_note(lot_id: int) -> Response:
    """Leave a note on a lot, from its page."""
    form = LotNoteForm()
    if not form.validate():
        return _lot_notes(lot_id, form, 422)
    try:
        services.note_on_lot(db.session, _by(form.client_key()), lot_id, form.text.data or "")
    except PlainError as error:
        form.put_error("text", error)
        return _lot_notes(lot_id, form, 422)
    return see_other(url_for("lots.lot", lot_id=lot_id))


@bp.post("/floor/lots/<int:lot_id>/notes/<int:note_id>/end")
@allowed(*EVERYONE)
def end_lot_note(lot_id: int, note_id: int) -> Response:
    """Take a note down from the lot's page."""
    services.end_note(db.session, _by(""), note_id)
    return see_other(url_for("lots.lot", lot_id=lot_id))


def _by(key: str) -> Said:
    now = current_time()
    return Said(key, now, now, sign_in.person.id)
