"""The 'done' form: opened by the second scan, all pieces good unless something else is typed."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import ResultForm, SentForm
from app.floor.queries import OpenWork
from app.floor.services import SignedOff
from app.floor.views.blueprint import bp
from app.floor.views.in_form import scan_in_form, typed_before, with_what_was_typed
from app.floor.views.pages import show, station_page
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.errors import NotOpenError
from app.lots.queries.names import operation_name
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations.models import ReasonUse
from app.stations.queries import usual_reasons


@bp.get("/floor/stations/<int:station_id>/operations/<int:operation_id>/done")
@open_to_all
def done(station_id: int, operation_id: int) -> Response:
    """Show the 'done' form of an operation that is open here; of a batch, that of all its lots."""
    work = _work(station_id, operation_id)
    if work is None:
        return _not_open(station_id, operation_id)
    typed = request.args if typed_before(["lot"]) else None
    whole = "all" in request.args
    forms = {
        each.job.operation_id: ResultForm.of(
            each.job.operation_id, each.job.pieces if whole else work.proposed(each), formdata=typed
        )
        for each in work.jobs
    }
    return _done_page(station_id, operation_id, work, forms)


def _work(station_id: int, operation_id: int) -> OpenWork | None:
    work = queries.open_work(db.session, station_id)
    return next((one for one in work if operation_id in {each.job.operation_id for each in one.jobs}), None)


def _not_open(station_id: int, operation_id: int) -> Response:
    error = NotOpenError(operation_name(queries.operation_at(db.session, operation_id)))
    return station_page(station_id, Refusal(str(error)), 409)


def _done_page(
    station_id: int,
    operation_id: int,
    work: OpenWork,
    forms: dict[int, ResultForm],
    refusal: Refusal | None = None,
) -> Response:
    reasons = usual_reasons(db.session, ReasonUse.SCRAP)
    for each in work.jobs:
        forms[each.job.operation_id].offer(each.operation, reasons)
    wrong = refusal is not None or any(form.errors for form in forms.values())
    return show(
        "floor/done.html",
        station_id,
        work=work,
        forms=forms,
        operation_id=operation_id,
        refusal=refusal,
        status=422 if wrong else 200,
    )


@bp.post("/floor/stations/<int:station_id>/operations/<int:operation_id>/sign-offs")
@open_to_all
def add_sign_off(station_id: int, operation_id: int) -> Response:
    """Record what came out; a code scanned meanwhile never finishes anything."""
    operation_ids = request.form.getlist("operations", type=int) or [operation_id]
    forms = {each: ResultForm.of(each) for each in operation_ids}
    code = request.form.get("code", "").strip()
    try:
        sent = SentForm().to_sent(station_id, current_time())
        if code:
            shown_at = with_what_was_typed("floor.done", station_id=station_id, operation_id=operation_id)
            return scan_in_form(sent, operation_ids, code, shown_at)
        if not [each for each, form in forms.items() if not form.validate()]:
            results = [form.to_input(each) for each, form in forms.items()]
            flash(_said(services.sign_off_work(db.session, sent, results)), "note")
            return see_other(url_for("floor.station", station_id=station_id))
        refusal = None
    except PlainError as error:
        refusal = refusal_of(error, station_id, operation_id)
    work = _work(station_id, operation_id)
    if work is None or {each.job.operation_id for each in work.jobs} - set(forms):
        return station_page(station_id, refusal or Refusal(gettext("This is not open here any more.")), 422)
    return _done_page(station_id, operation_id, work, forms, refusal)


def _said(signed: list[SignedOff]) -> str:
    """Return what was recorded, such as ``Signed off L00417C op 20: 47 good, 3 scrap``."""
    return gettext("Signed off %(what)s.", what="; ".join(map(_result_words, signed)))


def _result_words(signed: SignedOff) -> str:
    counts = [gettext("%(pieces)s good", pieces=signed.result.good)]
    scrap, rework = (sum(each.pieces for each in rows) for rows in (signed.result.scrap, signed.result.rework))
    counts += [gettext("%(pieces)s scrap", pieces=scrap)] if scrap else []
    counts += [gettext("%(pieces)s to rework", pieces=rework)] if rework else []
    return f"{gettext('%(lot)s op %(number)s', lot=signed.lot, number=signed.number)}: {', '.join(counts)}"
