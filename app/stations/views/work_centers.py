"""Add and rename work centers."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import OFFICE
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import WorkCenterForm
from app.stations.views.blueprint import bp


@bp.get("/work-centers/new")
@allowed(*OFFICE)
def new_work_center() -> Response:
    """Ask for a new work center."""
    return render("stations/work_center.html", form=WorkCenterForm(), center=None)


@bp.post("/work-centers")
@allowed(*OFFICE)
def add_work_center() -> Response:
    """Add a work center, or show the form again with what is wrong."""
    form = WorkCenterForm()
    if not form.validate():
        return render("stations/work_center.html", form=form, center=None, status=422)
    try:
        services.add_work_center(db.session, form.name.data or "")
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/work_center.html", form=form, center=None, status=422)
    return see_other(url_for("stations.stations"))


@bp.get("/work-centers/<int:work_center_id>/edit")
@allowed(*OFFICE)
def edit_work_center(work_center_id: int) -> Response:
    """Show a work center's name, to change."""
    center = queries.get_work_center(db.session, work_center_id)
    return render("stations/work_center.html", form=WorkCenterForm(data={"name": center.name}), center=center)


@bp.post("/work-centers/<int:work_center_id>")
@allowed(*OFFICE)
def change_work_center(work_center_id: int) -> Response:
    """Rename a work center, or show the form again with what is wrong."""
    form = WorkCenterForm()
    center = queries.get_work_center(db.session, work_center_id)
    if not form.validate():
        return render("stations/work_center.html", form=form, center=center, status=422)
    try:
        services.rename_work_center(db.session, work_center_id, form.name.data or "")
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/work_center.html", form=form, center=center, status=422)
    return see_other(url_for("stations.stations"))
