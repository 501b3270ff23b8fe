"""Printed codes opened as links, and codes in photos: a link shows a page and changes nothing."""

from flask import redirect, request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind, ScanCode
from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.errors import NoPictureError
from app.floor.forms import PhotoForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import show
from app.floor.views.scans import take_scan
from app.lots.queries import changed_since_print
from app.lots.queries.names import lot_name, operation_code
from app.people.queries import person_by_badge
from app.shared.clock import current_time
from app.shared.codes import ISSUE, read_code
from app.shared.errors import NotFoundError, PlainError
from app.shared.web import render, see_other
from app.stations.queries import get_station, station_by_number, stations_in


@bp.get("/c/<code>")
@open_to_all
def code(code: str) -> Response:
    """Open the page of what a printed code names."""
    try:
        found = read_code(code)
    except PlainError as error:
        raise NotFoundError(str(error)) from error
    issue = request.args.get(ISSUE, type=int)
    if found.kind is CodeKind.OPERATION:
        return _operation_page(found, issue)
    if found.kind is CodeKind.LOT and issue is not None:
        return redirect(f"{_address(found)}?{ISSUE}={issue}", code=303)
    return redirect(_address(found), code=303)


def _address(found: ScanCode) -> str:
    match found.kind:
        case CodeKind.LOT:
            return f"/lots/{queries.lot_by_number(db.session, found).id}"
        case CodeKind.RECEIPT:
            return f"/receipts/{queries.receipt_by_number(db.session, found).id}"
        case CodeKind.STATION:
            return url_for("floor.station", station_id=station_by_number(db.session, found.number).id)
        case CodeKind.BADGE:
            return url_for("floor.person", person_id=person_by_badge(db.session, found.number).id)
        case _:
            return url_for("floor.floor")


def _operation_page(found: ScanCode, issue: int | None) -> Response:
    operation = queries.operation_by_number(db.session, found)
    stations = stations_in(db.session, operation.work_center_id) if operation.work_center_id else []
    return render(
        "floor/code.html",
        operation=operation,
        stations=stations,
        since=changed_since_print(db.session, operation.lot_id, issue),
        lot_name=lot_name,
        operation_code=operation_code,
    )


@bp.get("/floor/photo")
@open_to_all
def photo() -> Response:
    """Ask for a photo of a code."""
    return render("floor/photo.html", form=PhotoForm())


@bp.post("/floor/photo")
@open_to_all
def read_photo() -> Response:
    """Open the page of the code that a photo shows."""
    form = PhotoForm()
    try:
        return see_other(url_for("floor.code", code=services.read_photo(_sent_bytes())))
    except PlainError as error:
        form.put_error("photo", error)
        return render("floor/photo.html", form=form, status=422)


@bp.get("/floor/stations/<int:station_id>/photos")
@open_to_all
def photos(station_id: int) -> Response:
    """Ask for a photo of a code to be taken as scanned at a station."""
    return show("floor/station_photo.html", station_id, form=PhotoForm())


@bp.post("/floor/stations/<int:station_id>/photos")
@open_to_all
def add_photo(station_id: int) -> Response:
    """Take the code that a photo shows as scanned here."""
    get_station(db.session, station_id)
    form = PhotoForm()
    try:
        sent = form.to_sent(station_id, current_time())
        return take_scan(sent, services.read_photo(_sent_bytes()))
    except PlainError as error:
        form.put_error("photo", error)
        return show("floor/station_photo.html", station_id, form=form, status=422)


def _sent_bytes() -> bytes:
    """Return the photo that was sent.

    Raises:
        NoPictureError: none was.
    """
    sent = request.files.get("photo")
    data = sent.read() if sent else b""
    if not data:
        raise NoPictureError
    return data
