"""Downtime of a station: planned, or just now."""

from contextlib import suppress

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, current_time, db
from app.people.models import OFFICE
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.errors import AlreadyDownError, NotDownError
from app.stations.forms import DownNowForm, DowntimeForm
from app.stations.views.blueprint import bp
from app.stations.views.stations import station_page


@bp.post("/stations/<int:station_id>/down")
@allowed(*OFFICE)
def down_now(station_id: int) -> Response:
    """Say that a station has just gone down."""
    form = DownNowForm()
    if not form.validate():
        return station_page(station_id, status=422, down_form=form)
    reason = form.reason.data or ""
    with suppress(AlreadyDownError):  # two people pressed the same button: the page they get says since when
        services.down_now(db.session, station_id, current_time(), about=form.guess(), reason=reason)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/back")
@allowed(*OFFICE)
def back_now(station_id: int) -> Response:
    """Say that a station runs again."""
    with suppress(NotDownError):  # somebody said so before: the page shows that it runs
        services.back_now(db.session, station_id, current_time())
    return see_other(url_for("stations.station", station_id=station_id))


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
