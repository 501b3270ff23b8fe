"""The order of work: looking for a better one, and putting it in force."""

from datetime import datetime
from typing import Any

from flask import abort, flash, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.people.models import OFFICE
from app.schedule import queries, services
from app.schedule.errors import NoProposalError, NothingChosenError
from app.schedule.forms import AcceptForm
from app.schedule.views.blueprint import bp, forecast_age
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import render, see_other
from app.shared.words import gettext


@bp.get("/schedule/order")
@allowed(*OFFICE)
def order() -> Response:
    """Show which order is in force, how far the search for a better one is, and what it proposes."""
    return render("schedule/order.html", fragment="schedule/_order.html", **_shown())


@bp.post("/schedule/order/search")
@allowed(*OFFICE)
def ask_search() -> Response:
    """Have the planner look for a better order."""
    services.ask_search(db.session, sign_in.person.id, current_time())
    return see_other(url_for("schedule.order"))


@bp.post("/schedule/order/search/stop")
@allowed(*OFFICE)
def stop_search() -> Response:
    """Have the search end with the best it has found."""
    services.stop_search(db.session)
    return see_other(url_for("schedule.order"))


@bp.post("/schedule/order/accept")
@allowed(*OFFICE)
def accept_proposal() -> Response:
    """Put the proposal in force, at all stations or at those that are ticked."""
    made_at, stations = _decided()
    try:
        services.accept_proposal(db.session, made_at, stations, sign_in.person.id, current_time())
    except (NoProposalError, NothingChosenError) as error:
        return _refused(error, ticked=stations)
    flash(gettext("The plan is in force. The forecast follows in a moment."), "note")
    return see_other(url_for("schedule.order"))


@bp.post("/schedule/order/leave")
@allowed(*OFFICE)
def leave_order() -> Response:
    """Leave the order as it is."""
    made_at = _decided()[0]
    try:
        services.leave_order(db.session, made_at)
    except NoProposalError as error:
        return _refused(error)
    return see_other(url_for("schedule.order"))


@bp.post("/schedule/order/drop")
@allowed(*OFFICE)
def drop_ranks() -> Response:
    """Let pins, rush and due dates decide again."""
    services.drop_ranks(db.session, sign_in.person.id, current_time())
    flash(gettext("Rush and due dates decide again. The forecast follows in a moment."), "note")
    return see_other(url_for("schedule.order"))


def _decided() -> tuple[datetime, set[int] | None]:
    """Return about which proposal somebody decided, and the ticked stations."""
    form = AcceptForm()
    if not form.validate():
        abort(400, gettext("Use the buttons of the page."))
    return form.to_input()


def _refused(error: PlainError, **more: Any) -> Response:
    shown = {**_shown(), **more, "refusal": str(error)}
    return render("schedule/order.html", fragment="schedule/_order.html", status=422, **shown)


def _shown() -> dict[str, Any]:
    return {
        "shown": queries.order_page(db.session),
        "age": forecast_age(),
        "moment_of": queries.moment_of,
        "ticked": None,  # which stations somebody chose; at first they are all
    }
