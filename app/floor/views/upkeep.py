"""A station's planned services: what is due, done in one tap; defined by owner or setup lead."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, open_to_all, sign_in
from app.floor import queries, services
from app.floor.forms import OfficeForm, ServiceForm
from app.floor.views.blueprint import bp
from app.floor.views.downtimes import sent_by
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.people.models import OFFICE
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext
from app.stations import services as stations


@bp.get("/floor/stations/<int:station_id>/services")
@open_to_all
def planned_services(station_id: int) -> Response:
    """Show the hours that a station ran and its planned services."""
    return _page(station_id, ServiceForm(formdata=None))


def _page(station_id: int, form: ServiceForm, refusal: Refusal | None = None, status: int = 200) -> Response:
    found = queries.upkeep_page(db.session, station_id, current_time())
    may_plan = sign_in.person is not None and sign_in.person.has_role(*OFFICE)
    return show(
        "floor/services.html",
        station_id,
        frame=found.frame,
        upkeep=found,
        form=form,
        may_plan=may_plan,
        office="1" if may_plan and request.values.get("office") else "",
        refusal=refusal,
        status=status,
    )


@bp.post("/floor/stations/<int:station_id>/services")
@allowed(*OFFICE)
def add_service(station_id: int) -> Response:
    """Plan a service, or show the form again with what is wrong."""
    form = ServiceForm()
    if not form.validate():
        return _page(station_id, form, status=422)
    services.plan_service(db.session, station_id, form.to_input(), form.hours_since.data or 0)
    return see_other(url_for("floor.planned_services", station_id=station_id, office=1))


@bp.post("/floor/stations/<int:station_id>/services/<int:service_id>/remove")
@allowed(*OFFICE)
def remove_service(station_id: int, service_id: int) -> Response:
    """Plan a service no longer."""
    stations.remove_service(db.session, station_id, service_id)
    return see_other(url_for("floor.planned_services", station_id=station_id, office=1))


@bp.post("/floor/stations/<int:station_id>/services/<int:service_id>/done")
@open_to_all
def add_service_done(station_id: int, service_id: int) -> Response:
    """Say that a planned service was done."""
    form = OfficeForm()
    try:
        done = services.service_done(db.session, sent_by(form, station_id), service_id)
    except PlainError as error:
        return _page(station_id, ServiceForm(formdata=None), refusal_of(error, station_id), 422)
    flash(gettext("%(name)s is recorded as done.", name=done.name), "note")
    return see_other(url_for("floor.planned_services", station_id=station_id, office=form.office.data or None))
