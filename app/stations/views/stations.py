"""The list of stations, one station, and its form."""

from datetime import timedelta

from flask import url_for
from werkzeug.wrappers import Response

from app.core import code128
from app.extensions import allowed, db
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import StationForm, over_closed_words
from app.stations.models import weekday_name
from app.stations.views.blueprint import bp

SHOWN_BACK = timedelta(days=60)
"""How long an ended overtime or downtime stays on a station's page."""


@bp.get("/stations")
@allowed(*EVERYONE)
def stations() -> Response:
    """Show the work centers with their stations: their hours, and which is down."""
    down = {each.station_id: each for each in queries.downtimes_at(db.session, current_time())}
    return render(
        "stations/stations.html",
        centers=queries.work_centers(db.session),
        stations=queries.stations_with_hours(db.session),
        down=down,
    )


@bp.get("/stations/codes")
@allowed(*OFFICE)
def codes() -> Response:
    """Show a sheet with the scan codes of the stations, to print and put up."""
    in_use = [station for station in queries.stations_with_hours(db.session) if station.active]
    return render("stations/codes.html", stations=in_use, bars=code128.svg)


@bp.get("/stations/new")
@allowed(*OFFICE)
def new_station() -> Response:
    """Ask for a new station."""
    return render("stations/new.html", form=_station_form())


@bp.post("/stations")
@allowed(*OFFICE)
def add_station() -> Response:
    """Add a station and go on to its hours, or show the form again with what is wrong."""
    form = _station_form()
    if not form.validate():
        return render("stations/new.html", form=form, status=422)
    try:
        station = services.add_station(db.session, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/new.html", form=form, status=422)
    page = "stations.station" if form.hours_from.data else "stations.hours"
    return see_other(url_for(page, station_id=station.id))


@bp.get("/stations/<int:station_id>")
@allowed(*EVERYONE)
def station(station_id: int) -> Response:
    """Show one station: its state, week, overtime and downtime."""
    shown = queries.get_station(db.session, station_id)
    now = current_time()
    return render(
        "stations/station.html",
        weekday_name=weekday_name,
        over_closed=over_closed_words()[shown.over_closed],
        station=shown,
        down=queries.down_now(db.session, shown, now),
        overtimes=queries.recent_overtimes(db.session, shown, now - SHOWN_BACK),
        downtimes=queries.recent_downtimes(db.session, shown, now - SHOWN_BACK),
    )


@bp.get("/stations/<int:station_id>/edit")
@allowed(*OFFICE)
def edit_station(station_id: int) -> Response:
    """Show what a station is, to change."""
    shown = queries.get_station(db.session, station_id)
    in_use = [each for each in queries.stations_with_hours(db.session) if each.active]
    form = StationForm.showing(queries.work_centers(db.session), in_use, shown)
    return render("stations/edit.html", form=form, station=shown)


@bp.post("/stations/<int:station_id>")
@allowed(*OFFICE)
def change_station(station_id: int) -> Response:
    """Change a station, or show the form again with what is wrong."""
    form = _station_form()
    shown = queries.get_station(db.session, station_id)
    if not form.validate():
        return render("stations/edit.html", form=form, station=shown, status=422)
    try:
        services.change_station(db.session, station_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/edit.html", form=form, station=shown, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/deactivate")
@allowed(*OFFICE)
def deactivate_station(station_id: int) -> Response:
    """Take a station out of use."""
    services.deactivate_station(db.session, station_id)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/activate")
@allowed(*OFFICE)
def activate_station(station_id: int) -> Response:
    """Put a station to use again."""
    services.activate_station(db.session, station_id)
    return see_other(url_for("stations.station", station_id=station_id))


def _station_form(**options: object) -> StationForm:
    in_use = [each for each in queries.stations_with_hours(db.session) if each.active]
    return StationForm(queries.work_centers(db.session), in_use, **options)
