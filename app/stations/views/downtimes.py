"""Planned downtime of a station; what happens just now is said on the floor."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import OFFICE
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import DowntimeForm
from app.stations.views.blueprint import bp


@bp.get("/stations/<int:station_id>/downtimes/new")
@allowed(*OFFICE)
def new_downtime(station_id: int) -> Response:
    """Ask for a downtime."""
    return _page(station_id, DowntimeForm())


@bp.post("/stations/<int:station_id>/downtimes")
@allowed(*OFFICE)
def add_downtime(station_id: int) -> Response:
    """Add a downtime, or show the form again with what is wrong."""
    form = DowntimeForm()
    if not form.validate():
        return _page(station_id, form, status=422)
    try:
        services.add_downtime(db.session, station_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(station_id, form, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.get("/stations/<int:station_id>/downtimes/<int:downtime_id>/edit")
@allowed(*OFFICE)
def edit_downtime(station_id: int, downtime_id: int) -> Response:
    """Show a downtime, to change."""
    shown = queries.get_downtime(db.session, station_id, downtime_id)
    names = ("starts_at", "ends_at", "end_is_guess", "reason")
    return _page(station_id, DowntimeForm(data={name: getattr(shown, name) for name in names}), downtime_id)


@bp.post("/stations/<int:station_id>/downtimes/<int:downtime_id>")
@allowed(*OFFICE)
def change_downtime(station_id: int, downtime_id: int) -> Response:
    """Change a downtime, or show the form again with what is wrong."""
    form = DowntimeForm()
    if not form.validate():
        return _page(station_id, form, downtime_id, status=422)
    try:
        services.change_downtime(db.session, station_id, downtime_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(station_id, form, downtime_id, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/downtimes/<int:downtime_id>/remove")
@allowed(*OFFICE)
def remove_downtime(station_id: int, downtime_id: int) -> Response:
    """Remove a downtime that was entered by mistake."""
    services.remove_downtime(db.session, station_id, downtime_id)
    return see_other(url_for("stations.station", station_id=station_id))


def _page(station_id: int, form: DowntimeForm, downtime_id: int | None = None, *, status: int = 200) -> Response:
    station = queries.get_station(db.session, station_id)
    return render("stations/downtime.html", form=form, station=station, downtime_id=downtime_id, status=status)
