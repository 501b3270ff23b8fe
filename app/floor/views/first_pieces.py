"""The first piece is good: by the person who acts with a tap, by another one with their badge.

A badge needs its PIN once a day on a device, as for signing on; the checker is not signed on here.
"""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind, ScanCode
from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import FirstPieceForm
from app.floor.services import Sent
from app.floor.views import device
from app.floor.views.blueprint import bp
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.floor.views.scans import take_scan
from app.people.errors import LockedError, NoPinError, WrongPinError
from app.people.models import Person
from app.people.queries import person_by_badge
from app.people.services import check_pin
from app.shared.clock import current_time
from app.shared.codes import read_code
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext


@bp.get("/floor/stations/<int:station_id>/operations/<int:operation_id>/first-pieces")
@open_to_all
def first_pieces(station_id: int, operation_id: int) -> Response:
    """Ask who found the first piece good; ``?badge=`` was scanned, and its PIN is still to be typed."""
    form = FirstPieceForm(data={"code": request.args.get("badge", "")})
    try:
        return _page(station_id, operation_id, form, checker=_wearer(form))
    except PlainError as error:
        return _page(station_id, operation_id, FirstPieceForm(formdata=None), refusal_of(error, station_id), status=422)


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/first-pieces")
@open_to_all
def add_first_piece(station_id: int, operation_id: int) -> Response:
    """Record that the first piece is good, or ask for the PIN of the badge that was scanned."""
    form = FirstPieceForm()
    try:
        sent = form.to_sent(station_id, current_time())
        badge = _badge(form)
        if badge is None and form.code.data:
            return take_scan(sent, form.code.data)
        checker = _proved(sent, badge, form.pin.data or "") if badge else None
        if badge and checker is None:
            return see_other(
                url_for("floor.first_pieces", station_id=station_id, operation_id=operation_id, badge=str(badge))
            )
        services.find_first_piece_good(db.session, sent, operation_id, checker)
    except (WrongPinError, NoPinError, LockedError) as error:
        form.put_error("pin", error)
        return _page(station_id, operation_id, form, checker=_wearer(form), status=422)
    except PlainError as error:
        return _page(station_id, operation_id, form, refusal_of(error, station_id, operation_id), status=422)
    home = url_for("floor.station", station_id=station_id)
    if badge:  # heard twice, the badge must not sign the checker on
        device.note_scan(station_id, str(badge), sent.happened_at, home)
    flash(gettext("The first piece is recorded as good."), "note")
    return see_other(home)


def _badge(form: FirstPieceForm) -> ScanCode | None:
    """Return the badge that was scanned; none where there is no code, or that of something else."""
    code = read_code(form.code.data) if form.code.data else None
    return code if code is not None and code.kind is CodeKind.BADGE else None


def _wearer(form: FirstPieceForm) -> Person | None:
    badge = _badge(form)
    return person_by_badge(db.session, badge.number) if badge else None


def _proved(sent: Sent, badge: ScanCode, pin: str) -> Person | None:
    """Return who wears a badge where they have proved it: with their PIN now, or on this device today; else none.

    Raises:
        PlainError: the badge is nobody's, the PIN is wrong, or the person is locked.
    """
    if pin:
        person = check_pin(db.session, badge.number, pin, sent.received_at)
        device.remember_pin(person, sent.received_at)
        return person
    person = services.unlocked_wearer(db.session, badge.number, sent.received_at)
    return person if device.knows(person, sent.received_at) else None


def _page(
    station_id: int,
    operation_id: int,
    form: FirstPieceForm,
    refusal: Refusal | None = None,
    *,
    checker: Person | None = None,
    status: int = 200,
) -> Response:
    operation = queries.operation_at(db.session, operation_id)
    return show(
        "floor/first_piece.html",
        station_id,
        form=form,
        operation=operation,
        checker=checker,
        refusal=refusal,
        status=status,
    )
