"""Pages of a part's revisions and their components."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts import queries, services
from app.parts.errors import PartInputError
from app.parts.forms import AddRevisionForm, ComponentForm, RevisionForm
from app.parts.models import Revision
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.web import render, see_other


def _part_url(revision: Revision) -> str:
    return url_for("parts.part", part_id=revision.part_id, revision=revision.id)


@bp.get("/parts/<int:part_id>/revisions/new")
@allowed(*OFFICE)
def new_revision(part_id: int) -> Response:
    """Ask for the next revision; the blank of the current one is filled in."""
    former = queries.current_revision(db.session, part_id)
    form = AddRevisionForm(units=queries.shop_units(db.session), obj=former)
    form.label.data = ""
    return _new_revision_page(part_id, form)


@bp.post("/parts/<int:part_id>/revisions")
@allowed(*OFFICE)
def add_revision(part_id: int) -> Response:
    """Add a revision that is from now on the current one, or show the form again with what is wrong."""
    form = AddRevisionForm(units=queries.shop_units(db.session))
    if not form.validate():
        return _new_revision_page(part_id, form, status=422)
    try:
        revision = services.add_revision(
            db.session,
            part_id,
            form.to_revision(),
            with_files=bool(form.with_files.data),
            by=sign_in.person,
            now=current_time(),
        )
    except PartInputError as error:
        form.put_error(error.about, error)
        return _new_revision_page(part_id, form, status=422)
    return see_other(_part_url(revision))


def _new_revision_page(part_id: int, form: AddRevisionForm, status: int = 200) -> Response:
    return render(
        "parts/new_revision.html",
        part=queries.get_part(db.session, part_id),
        former=queries.current_revision(db.session, part_id),
        form=form,
        units=queries.shop_units(db.session),
        status=status,
    )


@bp.get("/parts/revisions/<int:revision_id>/edit")
@allowed(*OFFICE)
def edit_revision(revision_id: int) -> Response:
    """Ask for changes to a revision and its blank."""
    revision = queries.get_revision(db.session, revision_id)
    return _edit_revision_page(revision, RevisionForm(units=queries.shop_units(db.session), obj=revision))


@bp.post("/parts/revisions/<int:revision_id>")
@allowed(*OFFICE)
def change_revision(revision_id: int) -> Response:
    """Change a revision, or show the form again with what is wrong."""
    form = RevisionForm(units=queries.shop_units(db.session))
    if not form.validate():
        return _edit_revision_page(queries.get_revision(db.session, revision_id), form, status=422)
    try:
        revision = services.change_revision(db.session, revision_id, form.to_revision())
    except PartInputError as error:
        form.put_error(error.about, error)
        return _edit_revision_page(queries.get_revision(db.session, revision_id), form, status=422)
    return see_other(_part_url(revision))


def _edit_revision_page(revision: Revision, form: RevisionForm, status: int = 200) -> Response:
    units = queries.shop_units(db.session)
    return render("parts/edit_revision.html", revision=revision, form=form, units=units, status=status)


@bp.post("/parts/revisions/<int:revision_id>/current")
@allowed(*OFFICE)
def make_current(revision_id: int) -> Response:
    """Offer this revision for new orders."""
    return see_other(_part_url(services.make_current(db.session, revision_id)))


@bp.get("/parts/revisions/<int:revision_id>/components")
@allowed(*EVERYONE)
def components(revision_id: int) -> Response:
    """Show what goes into a revision, and ask for more."""
    return _components_page(revision_id, ComponentForm())


@bp.post("/parts/revisions/<int:revision_id>/components")
@allowed(*OFFICE)
def add_component(revision_id: int) -> Response:
    """Let a part go into a revision, or show the form again with what is wrong."""
    form = ComponentForm()
    form.offer(_operations(revision_id))
    if not form.validate():
        return _components_page(revision_id, form, status=422)
    try:
        services.add_component(db.session, revision_id, form.to_input())
    except PartInputError as error:
        form.put_error(error.about, error)
        return _components_page(revision_id, form, status=422)
    return see_other(url_for("parts.components", revision_id=revision_id))


@bp.post("/parts/components/<int:component_id>/remove")
@allowed(*OFFICE)
def remove_component(component_id: int) -> Response:
    """Take a component out of its revision."""
    revision = services.remove_component(db.session, component_id)
    return see_other(url_for("parts.components", revision_id=revision.id))


def _operations(revision_id: int) -> list[tuple[int, str]]:
    routing = queries.routing_of(db.session, revision_id)
    return [(each.number, f"{each.number} {each.title}".strip()) for each in routing.operations] if routing else []


def _components_page(revision_id: int, form: ComponentForm, status: int = 200) -> Response:
    form.offer(_operations(revision_id))
    return render(
        "parts/components.html",
        revision=queries.get_revision(db.session, revision_id),
        form=form,
        choices=queries.find_parts(db.session, ""),
        status=status,
    )
