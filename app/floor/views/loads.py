"""Collecting the lots of one load, and beginning them together. What is collected stands in the address."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind
from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import ScanForm, SentForm, ShareForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.floor.views.scans import take_scan
from app.shared.clock import current_time
from app.shared.codes import read_code
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.stations.queries import get_station


@bp.get("/floor/stations/<int:station_id>/load")
@open_to_all
def load(station_id: int) -> Response:
    """Show the lots collected for a load and those that could join."""
    return _page(station_id, request.args.getlist("operations", type=int))


def _page(
    station_id: int,
    collected: list[int],
    refusal: Refusal | None = None,
    typed: dict[int, ShareForm] | None = None,
) -> Response:
    station = get_station(db.session, station_id)
    operations = [queries.operation_at(db.session, each) for each in collected]
    asked = [form.pieces.data or 0 for form in typed.values()] if typed else []
    load = queries.shared_load(db.session, operations, asked)
    return show(
        "floor/load.html",
        station_id,
        operations=operations,
        collected=collected,
        waiting=queries.load_candidates(db.session, station, collected),
        load=load,
        forms=typed or ShareForm.fresh(operations, load.taken if load else []),
        refusal=refusal,
        status=422 if refusal or typed else 200,
    )


@bp.post("/floor/stations/<int:station_id>/load/scans")
@open_to_all
def add_load_scan(station_id: int) -> Response:
    """Add the lot whose code was scanned to the load; a badge or a station means what it always means."""
    form = ScanForm()
    collected = request.form.getlist("operations", type=int)
    text = form.code.data or ""
    try:
        sent = form.to_sent(station_id, current_time())
        if read_code(text).kind in {CodeKind.BADGE, CodeKind.STATION}:
            return take_scan(sent, text)
        added = services.collect(db.session, station_id, collected, text)
    except PlainError as error:
        return _page(station_id, collected, refusal_of(error, station_id))
    return see_other(url_for("floor.load", station_id=station_id, operations=[*collected, added.id]))


@bp.post("/floor/stations/<int:station_id>/loads")
@open_to_all
def begin_load(station_id: int) -> Response:
    """Begin the collected lots together, with as many pieces of each as was said."""
    collected = request.form.getlist("operations", type=int)
    typed = {each: ShareForm.of(each) for each in collected if f"lot{each}-pieces" in request.form}
    if [each for each, form in typed.items() if not form.validate()]:
        return _page(station_id, collected, typed=typed)
    try:
        sent = SentForm().to_sent(station_id, current_time())
        services.begin_load(db.session, sent, collected, [form.pieces.data or 0 for form in typed.values()])
    except PlainError as error:
        return _page(station_id, collected, refusal_of(error, station_id), typed)
    return see_other(url_for("floor.station", station_id=station_id))
