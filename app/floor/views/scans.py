"""What is scanned at a station."""

from flask import flash, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import services
from app.floor.errors import NobodySignedOnError
from app.floor.forms import ScanForm
from app.floor.services import Answer, Sent, Shown
from app.floor.views import device
from app.floor.views.blueprint import bp
from app.floor.views.pages import station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.people.queries import person_by_badge
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations.queries import get_station


@bp.post("/floor/stations/<int:station_id>/scans")
@open_to_all
def add_scan(station_id: int) -> Response:
    """Do what a scanned or typed code means here, or say why not."""
    get_station(db.session, station_id)
    form = ScanForm()
    try:
        sent = form.to_sent(station_id, current_time())
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id), 422)
    if not form.validate():
        return station_page(station_id, Refusal(" ".join(map(str, form.code.errors))), 422)
    return take_scan(sent, form.code.data or "")


def take_scan(sent: Sent, code: str) -> Response:
    """Do what a code means and go where it leads; a scan that came before any badge is kept for after it."""
    again = device.repeated_scan(sent.station_id, code, sent.happened_at)
    if again is not None:
        return see_other(again)
    try:
        answer = services.scan(db.session, sent, code)
        if answer.shown is Shown.SIGN_ON:
            return scan_badge(sent, answer)
    except NobodySignedOnError as error:
        device.keep_scan(sent, code)
        return station_page(sent.station_id, refusal_of(error, sent.station_id), 422)
    except PlainError as error:
        return station_page(sent.station_id, refusal_of(error, sent.station_id), 422)
    say_old_print(code)
    url = address_of(sent.station_id, answer)
    device.note_scan(sent.station_id, code, sent.happened_at, url)
    return see_other(url)


def say_old_print(text: str) -> None:
    """Say what changed since the print was made whose code was scanned, where anything did."""
    since = services.changed_since(db.session, text)
    if since:
        words = "; ".join(each.words for each in since)
        flash(gettext("This print is older than the lot: %(words)s. Take a new print.", words=words), "warning")


def address_of(station_id: int, answer: Answer) -> str:
    """Return the address that a scan leads to."""
    match answer.shown:
        case Shown.DONE:
            return url_for("floor.done", station_id=station_id, operation_id=answer.key)
        case Shown.COMPONENT:
            return url_for("floor.components", station_id=station_id, operation_id=answer.key, source=answer.code)
        case Shown.LOT:
            return f"/lots/{answer.key}"
        case Shown.RECEIPT:
            return f"/receipts/{answer.key}"
        case _:
            return url_for("floor.station", station_id=answer.key)


def scan_badge(sent: Sent, answer: Answer, then: str = "") -> Response:
    """Sign the person on where this device knows them, or ask for the PIN; then go on to ``then``.

    Raises:
        PlainError: the badge is nobody's, or the person is locked.
    """
    person = person_by_badge(db.session, answer.key)
    if not device.knows(person, sent.received_at):
        page = url_for("floor.sign_on_page", station_id=sent.station_id, badge=answer.code, then=then or None)
        device.note_scan(sent.station_id, answer.code, sent.happened_at, page)
        return see_other(page)
    services.sign_on_again(db.session, sent.station_id, answer.key, sent.happened_at, sent.received_at)
    response = signed_on(sent.station_id, then)
    device.note_scan(
        sent.station_id, answer.code, sent.happened_at, then or url_for("floor.station", station_id=sent.station_id)
    )
    return response


def signed_on(station_id: int, then: str) -> Response:
    """Go on after somebody signed on: with the scan that waited for a badge, else to ``then`` or the station's page."""
    now = current_time()
    kept = device.kept_scan(station_id, now)
    device.forget_kept_scan()
    if then or kept is None:
        return see_other(then or url_for("floor.station", station_id=station_id))
    code, key = kept
    return take_scan(Sent(station_id, key, now, now), code)
