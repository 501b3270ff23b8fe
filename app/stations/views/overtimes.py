"""Overtime of a station or of its whole work center."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import OFFICE
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import OvertimeForm
from app.stations.views.blueprint import bp


@bp.get("/stations/<int:station_id>/overtimes/new")
@allowed(*OFFICE)
def new_overtime(station_id: int) -> Response:
    """Ask for extra hours."""
    return _page(station_id, OvertimeForm())


@bp.post("/stations/<int:station_id>/overtimes")
@allowed(*OFFICE)
def add_overtime(station_id: int) -> Response:
    """Add extra hours, or show the form again with what is wrong."""
    form = OvertimeForm()
    if not form.validate():
        return _page(station_id, form, status=422)
    try:
        services.add_overtime(db.session, station_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(station_id, form, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.get("/stations/<int:station_id>/overtimes/<int:overtime_id>/edit")
@allowed(*OFFICE)
def edit_overtime(station_id: int, overtime_id: int) -> Response:
    """Show extra hours, to change."""
    shown = queries.get_overtime(db.session, station_id, overtime_id)
    names = ("starts_at", "ends_at", "reason")
    return _page(station_id, OvertimeForm(data={name: getattr(shown, name) for name in names}), overtime_id)


@bp.post("/stations/<int:station_id>/overtimes/<int:overtime_id>")
@allowed(*OFFICE)
def change_overtime(station_id: int, overtime_id: int) -> Response:
    """Change extra hours, or show the form again with what is wrong."""
    form = OvertimeForm()
    if not form.validate():
        return _page(station_id, form, overtime_id, status=422)
    try:
        services.change_overtime(db.session, station_id, overtime_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(station_id, form, overtime_id, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/overtimes/<int:overtime_id>/remove")
@allowed(*OFFICE)
def remove_overtime(station_id: int, overtime_id: int) -> Response:
    """Take back extra hours."""
    services.remove_overtime(db.session, station_id, overtime_id)
    return see_other(url_for("stations.station", station_id=station_id))


def _page(station_id: int, form: OvertimeForm, overtime_id: int | None = None, *, status: int = 200) -> Response:
    station = queries.get_station(db.session, station_id)
    return render("stations/overtime.html", form=form, station=station, overtime_id=overtime_id, status=status)
