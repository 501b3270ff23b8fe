"""Pages of the shop's kinds of operation."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.parts import queries, services
from app.parts.errors import PartInputError
from app.parts.forms import KindForm
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, Role
from app.shared.web import render, see_other


@bp.get("/operation-kinds")
@allowed(*EVERYONE)
def operation_kinds() -> Response:
    """Show the kinds of operation with their cautions."""
    return render("parts/kinds.html", kinds=queries.all_kinds(db.session))


@bp.get("/operation-kinds/new")
@allowed(Role.OWNER)
def new_operation_kind() -> Response:
    """Ask for a kind of operation."""
    return render("parts/new_kind.html", form=KindForm())


@bp.post("/operation-kinds")
@allowed(Role.OWNER)
def add_operation_kind() -> Response:
    """Add a kind of operation, or show the form again with what is wrong."""
    form = KindForm()
    if not form.validate():
        return render("parts/new_kind.html", form=form, status=422)
    try:
        services.add_kind(db.session, form.to_input())
    except PartInputError as error:
        form.put_error(error.about, error)
        return render("parts/new_kind.html", form=form, status=422)
    return see_other(url_for("parts.operation_kinds"))


@bp.get("/operation-kinds/<int:kind_id>/edit")
@allowed(Role.OWNER)
def edit_operation_kind(kind_id: int) -> Response:
    """Ask for changes to a kind of operation."""
    kind = queries.get_kind(db.session, kind_id)
    return render("parts/edit_kind.html", kind=kind, form=KindForm(obj=kind))


@bp.post("/operation-kinds/<int:kind_id>")
@allowed(Role.OWNER)
def change_operation_kind(kind_id: int) -> Response:
    """Change a kind of operation, or show the form again with what is wrong."""
    form = KindForm()
    if not form.validate():
        return render("parts/edit_kind.html", kind=queries.get_kind(db.session, kind_id), form=form, status=422)
    try:
        services.change_kind(db.session, kind_id, form.to_input())
    except PartInputError as error:
        form.put_error(error.about, error)
        return render("parts/edit_kind.html", kind=queries.get_kind(db.session, kind_id), form=form, status=422)
    return see_other(url_for("parts.operation_kinds"))
