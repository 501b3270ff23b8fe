"""A station goes down, is expected back, runs again; and the lots behind it."""

from dataclasses import replace

from flask import abort, flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all, sign_in
from app.floor import queries, services
from app.floor.forms import DownForm, GuessForm, MoveForm, OfficeForm
from app.floor.services import Sent
from app.floor.views.blueprint import bp
from app.floor.views.pages import show, station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.queries.names import operation_name
from app.people.models import OFFICE
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations.models import ReasonUse
from app.stations.queries import get_station, quick_guesses, usual_reasons


def sent_by(form: OfficeForm, station_id: int) -> Sent:
    """Return what was sent; said from the office, by whoever is signed in there."""
    sent = form.to_sent(station_id, current_time())
    if not form.office.data:
        return sent
    if sign_in.person is None:
        abort(401)
    if not sign_in.person.has_role(*OFFICE):
        abort(403)
    return replace(sent, office_id=sign_in.person.id)


def _offer(form: GuessForm, station_id: int, sent: Sent | None = None) -> None:
    """Give a form the guesses of one tap, as they were when it was sent."""
    station = get_station(db.session, station_id)
    form.offer(quick_guesses(db.session, station, sent.happened_at if sent else current_time()))


@bp.get("/floor/stations/<int:station_id>/downtimes")
@open_to_all
def downtimes(station_id: int) -> Response:
    """Ask why the station is down and when it is back."""
    return _down_page(station_id, DownForm(data={"office": request.args.get("office", "")}))


def _down_page(station_id: int, form: DownForm, refusal: Refusal | None = None, status: int = 200) -> Response:
    _offer(form, station_id)
    reasons = usual_reasons(db.session, ReasonUse.DOWNTIME)
    return show("floor/down.html", station_id, form=form, reasons=reasons, refusal=refusal, status=status)


@bp.post("/floor/stations/<int:station_id>/downtimes")
@open_to_all
def add_downtime(station_id: int) -> Response:
    """Say that the station is down from now on; what runs there is paused."""
    form = DownForm()
    if not form.validate():
        return _down_page(station_id, form, status=422)
    try:
        sent = sent_by(form, station_id)
        _offer(form, station_id, sent)
        services.say_down(db.session, sent, form.guess(), form.why)
    except PlainError as error:
        return _down_page(station_id, form, refusal_of(error, station_id), 422)
    return see_other(url_for("floor.lots_behind", station_id=station_id, office=form.office.data or None))


@bp.get("/floor/stations/<int:station_id>/guesses")
@open_to_all
def guesses(station_id: int) -> Response:
    """Ask when the station, which is down, will be back after all."""
    return _guess_page(station_id, GuessForm(data={"office": request.args.get("office", "")}))


def _guess_page(station_id: int, form: GuessForm, refusal: Refusal | None = None, status: int = 200) -> Response:
    _offer(form, station_id)
    return show("floor/guess.html", station_id, form=form, refusal=refusal, status=status)


@bp.post("/floor/stations/<int:station_id>/guesses")
@open_to_all
def add_guess(station_id: int) -> Response:
    """Say when the station will be back after all."""
    form = GuessForm()
    if not form.validate():
        return _guess_page(station_id, form, status=422)
    try:
        sent = sent_by(form, station_id)
        _offer(form, station_id, sent)
        services.guess_again(db.session, sent, form.guess())
    except PlainError as error:
        return _guess_page(station_id, form, refusal_of(error, station_id), 422)
    return see_other(url_for("floor.station", station_id=station_id))


@bp.post("/floor/stations/<int:station_id>/downtimes/end")
@open_to_all
def end_downtime(station_id: int) -> Response:
    """Say that the station runs again."""
    get_station(db.session, station_id)
    try:
        services.say_back(db.session, sent_by(OfficeForm(), station_id))
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    flash(gettext("The station runs again."), "note")
    return see_other(url_for("floor.station", station_id=station_id))


@bp.get("/floor/stations/<int:station_id>/lots-behind")
@open_to_all
def lots_behind(station_id: int) -> Response:
    """Show the lots behind the station, with where each could go."""
    return _behind_page(station_id, request.args.get("office", ""))


def _behind_page(station_id: int, office: str, refusal: Refusal | None = None) -> Response:
    found = queries.behind(db.session, station_id, current_time())
    form = MoveForm(formdata=None, data={"office": office})
    form.reason.data = request.values.get("reason") or _usual_reason(found)
    return show(
        "floor/behind.html",
        station_id,
        frame=found.frame,
        behind=found,
        form=form,
        office=office,
        refusal=refusal,
        status=422 if refusal else 200,
    )


def _usual_reason(found: queries.Behind) -> str:
    station, downtime = found.frame.station, found.frame.downtime
    if downtime is None:
        return ""
    return gettext("%(station)s is down: %(reason)s", station=station.name, reason=downtime.reason or "–")


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/sendings")
@open_to_all
def add_sending(station_id: int, operation_id: int) -> Response:
    """Send a lot that waits here to another station of the work center."""
    form = MoveForm()
    try:
        sent = sent_by(form, station_id)
        sending = services.send_to_other_station(
            db.session, sent, operation_id, form.to.data or 0, form.reason.data or ""
        )
    except PlainError as error:
        return _behind_page(station_id, form.office.data or "", refusal_of(error, station_id, operation_id))
    return _moved(station_id, operation_id, form, sending.station.name if sending.station else "")


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/sendings/end")
@open_to_all
def end_sending(station_id: int, operation_id: int) -> Response:
    """Let a lot that was sent to one station run at any of the work center again."""
    form = OfficeForm()
    try:
        services.let_go(db.session, sent_by(form, station_id), operation_id)
    except PlainError as error:
        return _behind_page(station_id, form.office.data or "", refusal_of(error, station_id, operation_id))
    return _moved(station_id, operation_id, form, "")


def _moved(station_id: int, operation_id: int, form: OfficeForm, to: str) -> Response:
    """Say where an operation goes now, and that the forecast follows."""
    name = operation_name(queries.operation_at(db.session, operation_id))
    said = (
        gettext("%(operation)s goes to %(station)s.", operation=name, station=to)
        if to
        else gettext("%(operation)s may run at any station of its work center again.", operation=name)
    )
    flash(said + " " + gettext("The forecast follows in a moment."), "note")
    return see_other(url_for("floor.lots_behind", station_id=station_id, office=form.office.data or None))
