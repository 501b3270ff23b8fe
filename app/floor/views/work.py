"""One operation at a station: what can be done with it, and the marks that take one tap."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import ReasonForm, SentForm
from app.floor.services import Mark
from app.floor.views.blueprint import bp
from app.floor.views.pages import show, station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.stations.queries import find_shop


@bp.get("/floor/stations/<int:station_id>/operations/<int:operation_id>")
@open_to_all
def operation(station_id: int, operation_id: int) -> Response:
    """Show one operation with everything that can be done with it here."""
    return operation_page(station_id, operation_id, ReasonForm())


def operation_page(
    station_id: int, operation_id: int, hold_form: ReasonForm, refusal: Refusal | None = None, status: int = 200
) -> Response:
    """Render the page of one operation at a station."""
    found = queries.operation_at(db.session, operation_id)
    work = queries.open_work(db.session, station_id)
    mine = next((each for one in work for each in one.jobs if each.job.operation_id == operation_id), None)
    return show(
        "floor/operation.html",
        station_id,
        operation=found,
        open_job=mine,
        sheets=queries.sheets_of(db.session, [found]).get(found.id, []),
        load=queries.load_of(find_shop(db.session), [(found.lot.revision, found.present)]),
        hold_form=hold_form,
        refusal=refusal,
        status=status,
    )


@bp.get("/floor/stations/<int:station_id>/operations/<int:operation_id>/sheets")
@open_to_all
def sheets(station_id: int, operation_id: int) -> Response:
    """Show an operation's drawings and set-up sheets as wide as the screen."""
    found = queries.operation_at(db.session, operation_id)
    hanging = queries.sheets_of(db.session, [found]).get(found.id, [])
    return show("floor/sheets.html", station_id, operation=found, sheets=hanging)


@bp.post(
    "/floor/stations/<int:station_id>/operations/<int:operation_id>/<any('runs','pauses','hand-overs','take-offs'):mark>"
)
@open_to_all
def add_mark(station_id: int, operation_id: int, mark: str) -> Response:
    """Run, pause, hand over or take off an operation that is open here."""
    try:
        sent = SentForm().to_sent(station_id, current_time())
        services.add_mark(db.session, sent, operation_id, Mark(mark))
    except PlainError as error:
        return station_page(station_id, refusal_of(error, station_id, operation_id), 422)
    shown = "floor.lots_behind" if mark == Mark.TAKE_OFF else "floor.station"
    return see_other(url_for(shown, station_id=station_id))


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/lot-holds")
@open_to_all
def hold_lot(station_id: int, operation_id: int) -> Response:
    """Put the whole lot of an operation on hold."""
    form = ReasonForm()
    refusal: Refusal | None = None
    if form.validate():
        try:
            sent = form.to_sent(station_id, current_time())
            lot_id = queries.operation_at(db.session, operation_id).lot_id
            services.hold_whole_lot(db.session, sent, lot_id, form.reason.data or "")
            return see_other(url_for("floor.operation", station_id=station_id, operation_id=operation_id))
        except PlainError as error:
            refusal = refusal_of(error, station_id, operation_id)
    return operation_page(station_id, operation_id, form, refusal, 422)


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/lot-releases")
@open_to_all
def release_lot(station_id: int, operation_id: int) -> Response:
    """Let the whole lot of an operation go on."""
    form = ReasonForm()
    try:
        lot_id = queries.operation_at(db.session, operation_id).lot_id
        services.release_whole_lot(db.session, form.to_sent(station_id, current_time()), lot_id)
    except PlainError as error:
        return operation_page(station_id, operation_id, form, refusal_of(error, station_id, operation_id), 422)
    return see_other(url_for("floor.operation", station_id=station_id, operation_id=operation_id))
