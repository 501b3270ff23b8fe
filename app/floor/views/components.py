"""Components that go into an operation: scanned, or chosen from what is at hand."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import ComponentForm
from app.floor.queries import ComponentSupply
from app.floor.views.blueprint import bp
from app.floor.views.in_form import scan_in_form, typed_before, with_what_was_typed
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.shared.clock import current_time
from app.shared.codes import read_code
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext


@bp.get("/floor/stations/<int:station_id>/operations/<int:operation_id>/components")
@open_to_all
def components(station_id: int, operation_id: int) -> Response:
    """Show what an operation takes and where it can come from; with a source, ask how many came from it."""
    source = request.args.get("source", "")
    typed = request.args if typed_before(["pieces"]) else None
    form = ComponentForm(formdata=typed, data={"source": source})
    return _page(station_id, operation_id, source, form)


def _page(
    station_id: int, operation_id: int, source: str, form: ComponentForm, refusal: Refusal | None = None
) -> Response:
    operation = queries.operation_at(db.session, operation_id)
    needs = queries.component_needs(db.session, [operation])[operation_id]
    supplies = queries.supplies_of(db.session, needs)
    chosen = next((each for each in supplies if each.code == source), None)
    if form.pieces.data is None and not form.pieces.raw_data:
        form.pieces.data = _usual(chosen)
    wrong = refusal is not None or bool(form.errors)
    return show(
        "floor/components.html",
        station_id,
        operation=operation,
        needs=needs,
        supplies=supplies,
        source=source,
        chosen=chosen,
        form=form,
        refusal=refusal,
        status=422 if wrong else 200,
    )


def _usual(chosen: ComponentSupply | None) -> int | None:
    """Return what is still missing, as far as the supply goes."""
    return (min(chosen.need.missing, chosen.pieces) or None) if chosen else None


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/components")
@open_to_all
def add_component(station_id: int, operation_id: int) -> Response:
    """Record components from a lot or receipt; another code scanned meanwhile changes the source."""
    form = ComponentForm()
    source = form.source.data or ""
    code = (form.code.data or "").strip()
    refusal: Refusal | None = None
    try:
        sent = form.to_sent(station_id, current_time())
        if code:
            shown_at = with_what_was_typed("floor.components", station_id=station_id, operation_id=operation_id)
            return scan_in_form(sent, [operation_id], code, shown_at)
        if form.validate():
            services.add_component(db.session, sent, operation_id, source, form.pieces.data or 0)
            said = gettext("%(pieces)s from %(source)s recorded.", pieces=form.pieces.data, source=read_code(source))
            flash(said, "note")
            return see_other(url_for("floor.station", station_id=station_id))
    except PlainError as error:
        refusal = refusal_of(error, station_id, operation_id)
    return _page(station_id, operation_id, source, form, refusal)
