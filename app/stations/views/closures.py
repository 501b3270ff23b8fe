"""The days on which the whole shop is closed."""

from datetime import date

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.shared.words import local
from app.stations import queries, services
from app.stations.errors import UnknownCountryError, UnknownStateError
from app.stations.forms import ClosedDaysForm, HolidaysForm
from app.stations.views.blueprint import bp


@bp.get("/closures")
@allowed(*EVERYONE)
def closures() -> Response:
    """Show a year's closed days, and the public holidays to choose from."""
    return _page(ClosedDaysForm())


@bp.post("/closures/holidays")
@allowed(*OFFICE)
def save_holidays() -> Response:
    """Close the shop on the public holidays that are ticked, or on all that are offered."""
    form = HolidaysForm()
    if not form.validate() or form.year.data is None:
        return _page(ClosedDaysForm(formdata=None), status=422)
    country, state, year = form.country.data or "", form.state.data or "", form.year.data
    chosen = form.days.data or []
    if "all" in request.form:
        chosen = [each.day for each in queries.offered_days(country, state, year)]
    services.save_offered_days(db.session, country, state, year, set(chosen))
    return see_other(url_for("stations.closures", country=country, state=state, year=year))


@bp.post("/closures")
@allowed(*OFFICE)
def add_closure() -> Response:
    """Close the shop on days of its own, or show the form again with what is wrong."""
    form = ClosedDaysForm()
    if not form.validate():
        return _page(form, status=422)
    first, last = form.to_days()
    try:
        services.close_days(db.session, first, last, form.name.data or "")
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(form, status=422)
    return see_other(url_for("stations.closures", year=first.year))


@bp.post("/closures/<int:closure_id>/remove")
@allowed(*OFFICE)
def remove_closure(closure_id: int) -> Response:
    """Open the shop on a day that was closed."""
    services.open_day(db.session, closure_id)
    return see_other(url_for("stations.closures", year=request.form.get("year", type=int)))


def _page(form: ClosedDaysForm, status: int = 200) -> Response:
    """Return the page for the year, country and state in the address; missing ones are this year and the shop's."""
    shop = queries.shop(db.session)
    country = request.args.get("country", shop.holiday_country)
    state = request.args.get("state", shop.holiday_state if country == shop.holiday_country else "")
    year = min(2199, max(1970, request.args.get("year", local(current_time()).year, type=int)))
    try:
        offered, refusal = queries.offered_days(country, state, year), ""
    except (UnknownCountryError, UnknownStateError) as error:
        offered, refusal = [], str(error)
    closed = queries.closures_between(db.session, date(year, 1, 1), date(year, 12, 31))
    return render(
        "stations/closures.html",
        status=status,
        form=form,
        year=year,
        country=country,
        state=state,
        offered=offered,
        refusal=refusal,
        closed={each.day: each for each in closed},
        countries=queries.countries(),
        states=queries.states(country) if country in dict(queries.countries()) else [],
    )
