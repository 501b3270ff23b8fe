"""How many people each shift has."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE, OFFICE
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import CrewForm
from app.stations.models import weekday_name
from app.stations.views.blueprint import bp


@bp.get("/shop/crews")
@allowed(*EVERYONE)
def crews() -> Response:
    """Show how many people each shift has; ``?change=`` names one whose facts stand in the form."""
    shown = queries.find_crew(db.session, request.args.get("change", 0, type=int))
    if shown is None:
        return _page(CrewForm(formdata=None))
    names = ("name", "weekdays", "starts", "ends", "setters", "tenders")
    return _page(CrewForm(formdata=None, data={name: getattr(shown, name) for name in names}), changing=shown.id)


@bp.post("/shop/crews")
@allowed(*OFFICE)
def add_crew() -> Response:
    """Add a shift with its people, or show the form again with what is wrong."""
    form = CrewForm()
    if not form.validate():
        return _page(form, 422)
    try:
        services.add_crew(db.session, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(form, 422)
    return see_other(url_for("stations.crews"))


@bp.post("/shop/crews/<int:crew_id>")
@allowed(*OFFICE)
def change_crew(crew_id: int) -> Response:
    """Change a shift, or show the form again with what is wrong."""
    form = CrewForm()
    if not form.validate():
        return _page(form, 422, crew_id)
    try:
        services.change_crew(db.session, crew_id, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(form, 422, crew_id)
    return see_other(url_for("stations.crews"))


@bp.post("/shop/crews/<int:crew_id>/remove")
@allowed(*OFFICE)
def remove_crew(crew_id: int) -> Response:
    """Take a shift away."""
    services.remove_crew(db.session, crew_id)
    return see_other(url_for("stations.crews"))


def _page(form: CrewForm, status: int = 200, changing: int | None = None) -> Response:
    found = queries.crews(db.session)
    return render(
        "stations/crews.html", status=status, crews=found, form=form, changing=changing, weekday_name=weekday_name
    )
