"""The weekly hours of a station."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import OFFICE
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.errors import ShiftOverlapError
from app.stations.forms import CopyHoursForm, HoursForm
from app.stations.models import Station, weekday_name
from app.stations.views.blueprint import bp


@bp.get("/stations/<int:station_id>/hours")
@allowed(*OFFICE)
def hours(station_id: int) -> Response:
    """Show the week of a station, to change."""
    return _hours_page(station_id, HoursForm.showing(queries.get_station(db.session, station_id).shifts))


@bp.post("/stations/<int:station_id>/hours")
@allowed(*OFFICE)
def set_hours(station_id: int) -> Response:
    """Store the week of a station, or of all stations of its work center."""
    form = HoursForm()
    if not form.validate():
        return _hours_page(station_id, form, status=422)
    try:
        services.set_hours(db.session, _meant(station_id, everywhere=form.everywhere.data), form.to_input())
    except ShiftOverlapError as error:
        form.put_shift_error(error.place, error)
        return _hours_page(station_id, form, status=422)
    return see_other(url_for("stations.station", station_id=station_id))


@bp.post("/stations/<int:station_id>/hours/copy")
@allowed(*OFFICE)
def copy_hours(station_id: int) -> Response:
    """Give a station, or all stations of its work center, the week of another one."""
    form = CopyHoursForm(_others(station_id))
    if not form.validate() or form.source.data is None:
        shown = HoursForm.showing(queries.get_station(db.session, station_id).shifts)
        return _hours_page(station_id, shown, copy_form=form, status=422)
    services.copy_hours(db.session, form.source.data, _meant(station_id, everywhere=form.everywhere.data))
    return see_other(url_for("stations.station", station_id=station_id))


def _meant(station_id: int, *, everywhere: bool) -> set[int]:
    station = queries.get_station(db.session, station_id)
    alike = queries.stations_in(db.session, station.work_center_id) if everywhere else []
    return {station_id, *(each.id for each in alike)}


def _others(station_id: int) -> list[Station]:
    return [each for each in queries.stations_with_hours(db.session) if each.active and each.id != station_id]


def _hours_page(
    station_id: int, form: HoursForm, *, copy_form: CopyHoursForm | None = None, status: int = 200
) -> Response:
    others = _others(station_id)
    return render(
        "stations/hours.html",
        weekday_name=weekday_name,
        form=form,
        copy_form=copy_form or CopyHoursForm(others, formdata=None),
        station=queries.get_station(db.session, station_id),
        others=others,
        status=status,
    )
