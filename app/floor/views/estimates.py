"""Mending a forgotten sign-off in one step."""

from dataclasses import replace

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.floor import queries, services
from app.floor.forms import EstimateForm
from app.floor.queries import Forgotten
from app.floor.services import ESTIMATE_FORM
from app.floor.views.blueprint import bp
from app.floor.views.paper import recorded
from app.lots.models import LotOperation
from app.people.models import OFFICE
from app.shared.clock import current_time
from app.shared.errors import PlainError, RefusedError
from app.shared.rows import put_problem
from app.shared.web import render, see_other
from app.shared.words import gettext
from app.stations.models import ReasonUse
from app.stations.queries import usual_reasons


@bp.get("/floor/operations/<int:operation_id>/estimates")
@allowed(*OFFICE)
def estimates(operation_id: int) -> Response:
    """Ask about when pieces were finished that nobody signed off (``?station=`` of the open job)."""
    operation = queries.operation_at(db.session, operation_id)
    missing = queries.forgotten_at(db.session, operation, request.args.get("station", type=int), current_time())
    data = {"done": missing.about, "good": missing.pieces, "through": queries.furthest_passed(missing).id}
    return _page(operation, missing, EstimateForm(prefix=f"{ESTIMATE_FORM}-", formdata=None, data=data))


def _page(operation: LotOperation, missing: Forgotten, form: EstimateForm, status: int = 200) -> Response:
    following = services.passed_through(operation, operation.lot.operations[-1].id)
    form.offer(following)
    return render(
        "floor/estimate.html",
        status=status,
        operation=operation,
        missing=missing,
        form=form,
        following=following,
        reasons=usual_reasons(db.session, ReasonUse.SCRAP),
        station_id=missing.job.station_id if missing.job else None,
    )


@bp.post("/floor/operations/<int:operation_id>/estimates")
@allowed(*OFFICE)
def add_estimate(operation_id: int) -> Response:
    """Sign the pieces off as an estimate, or show the form again with what is wrong."""
    operation = queries.operation_at(db.session, operation_id)
    station_id = request.form.get("station", type=int)
    form = EstimateForm(prefix=f"{ESTIMATE_FORM}-")
    form.offer(services.passed_through(operation, operation.lot.operations[-1].id))
    if form.validate() and _mend(form, operation_id, station_id):
        flash(gettext("It is signed off, as an estimate."), "note")
        return see_other(url_for("review.review", _anchor="forgotten"))
    operation = queries.operation_at(db.session, operation_id)
    missing = queries.forgotten_at(db.session, operation, station_id, current_time())
    return _page(operation, missing, form, 422)


def _mend(form: EstimateForm, operation_id: int, station_id: int | None) -> bool:
    note = gettext("finished at about this time: nobody signed it off")
    act = replace(recorded(form), note=note, is_estimate=True)
    try:
        services.mend_forgotten(db.session, act, form.to_input(operation_id, station_id))
    except RefusedError as refused:
        for problem in refused.problems:
            put_problem(form, problem)
        return False
    except PlainError as error:
        form.form_errors.append(str(error))
        return False
    return True
