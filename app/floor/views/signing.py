"""Signing on with badge and PIN, working together, signing off."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind
from app.extensions import db, open_to_all
from app.floor import services
from app.floor.errors import NotSignedOnError
from app.floor.forms import PinForm
from app.floor.views import device
from app.floor.views.blueprint import bp
from app.floor.views.pages import show, station_page
from app.floor.views.refusals import refusal_of
from app.floor.views.scans import signed_on
from app.people.errors import UnknownBadgeError
from app.people.models import Person
from app.people.queries import person_by_badge
from app.shared.clock import current_time
from app.shared.codes import CodeRefusedError, read_code
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations.queries import get_station


@bp.get("/floor/stations/<int:station_id>/sign-on")
@open_to_all
def sign_on_page(station_id: int) -> Response:
    """Ask for the PIN that goes with a scanned badge."""
    badge = request.args.get("badge", "")
    try:
        person = _wearer(badge)
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    form = PinForm(data={"badge": badge, "then": request.args.get("then", "")})
    return show("floor/sign_on.html", station_id, person=person, form=form)


def _wearer(badge: str) -> Person:
    code = read_code(badge)
    if code.kind is not CodeKind.BADGE:
        raise UnknownBadgeError
    return person_by_badge(db.session, code.number)


@bp.post("/floor/stations/<int:station_id>/sign-ons")
@open_to_all
def sign_on(station_id: int) -> Response:
    """Sign a person on here with badge and PIN, and go on with what was scanned before."""
    get_station(db.session, station_id)
    form = PinForm()
    now = current_time()
    try:
        person = _wearer(form.badge.data or "")
    except (CodeRefusedError, UnknownBadgeError) as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    badge_number = person.badge_number or 0
    if form.validate():
        try:
            fresh = services.sign_on_with_pin(db.session, station_id, badge_number, form.pin.data or "", now)
        except PlainError as error:
            form.put_error("pin", error)
        else:
            device.remember_pin(fresh.person, now)
            return signed_on(station_id, _ours(form.then.data or ""))
    return show("floor/sign_on.html", station_id, person=_wearer(form.badge.data or ""), form=form, status=422)


def _ours(address: str) -> str:
    """Return the address to go on to where it is one of the floor's own, else none."""
    return address if address.startswith("/floor/stations/") and "\\" not in address and address.isprintable() else ""


@bp.post("/floor/stations/<int:station_id>/sign-ons/<int:sign_on_id>/end")
@open_to_all
def end_sign_on(station_id: int, sign_on_id: int) -> Response:
    """Sign a person off here; what they have open stays open."""
    try:
        person = services.sign_off_person(db.session, station_id, sign_on_id, current_time())
    except NotSignedOnError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    flash(gettext("%(name)s has left this station.", name=person.name), "note")
    return see_other(url_for("floor.station", station_id=station_id))


@bp.post("/floor/stations/<int:station_id>/sign-ons/keep")
@open_to_all
def keep_sign_ons(station_id: int) -> Response:
    """Keep signed on those whom the last badge took over from."""
    try:
        services.keep_signed_on(db.session, station_id, current_time())
    except NotSignedOnError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    return see_other(url_for("floor.station", station_id=station_id))
