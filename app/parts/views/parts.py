"""Pages of parts: the list, the chooser, one part."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.parts import queries, services
from app.parts.errors import PartInputError
from app.parts.forms import PartForm, PartWithRevisionForm
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, OFFICE
from app.shared.web import render, see_other, typed_page


@bp.get("/parts")
@allowed(*EVERYONE)
def parts() -> Response:
    """Show the parts, or those that have the words of ``?q=`` in their number or name."""
    words = request.args.get("q", "").strip()
    found = queries.parts_page(db.session, words, typed_page())
    current = [part.current_revision.id for part in found.rows if part.current_revision]
    versions = queries.newest_versions(db.session, current)
    return render("parts/parts.html", fragment="parts/_parts.html", found=found, words=words, versions=versions)


@bp.get("/parts/choices")
@allowed(*EVERYONE)
def part_choices() -> Response:
    """Give the options of a chooser for what is typed in the field that asks, whatever its name."""
    words = next(iter(request.args.values()), "").strip()
    return render("parts/_choices.html", choices=queries.find_parts(db.session, words))


@bp.get("/parts/new")
@allowed(*OFFICE)
def new_part() -> Response:
    """Ask for a part and its first revision."""
    form = PartWithRevisionForm(units=queries.shop_units(db.session), data={"label": "A"})
    return _new_part_page(form)


@bp.post("/parts")
@allowed(*OFFICE)
def add_part() -> Response:
    """Add a part, or show the form again with what is wrong."""
    form = PartWithRevisionForm(units=queries.shop_units(db.session))
    if not form.validate():
        return _new_part_page(form, status=422)
    try:
        part = services.add_part(db.session, form.to_part(), form.to_revision())
    except PartInputError as error:
        form.put_error(error.about, error)
        return _new_part_page(form, status=422)
    return see_other(url_for("parts.part", part_id=part.id))


def _new_part_page(form: PartWithRevisionForm, status: int = 200) -> Response:
    return render("parts/new_part.html", form=form, units=queries.shop_units(db.session), status=status)


@bp.get("/parts/<int:part_id>")
@allowed(*EVERYONE)
def part(part_id: int) -> Response:
    """Show a part with one of its revisions: that of ``?revision=``, or the current one."""
    shown, revision = queries.part_page(db.session, part_id, request.args.get("revision", type=int))
    return render(
        "parts/part.html",
        part=shown,
        revision=revision,
        routing=queries.routing_of(db.session, revision.id),
        versions=queries.routing_versions(db.session, revision.id),
        users=queries.used_in(db.session, shown.id),
        units=queries.shop_units(db.session),
        measured=queries.measured_count(db.session, revision.id),
    )


@bp.get("/parts/<int:part_id>/edit")
@allowed(*OFFICE)
def edit_part(part_id: int) -> Response:
    """Ask for changes to a part."""
    part = queries.get_part(db.session, part_id)
    return render("parts/edit_part.html", part=part, form=PartForm(obj=part))


@bp.post("/parts/<int:part_id>")
@allowed(*OFFICE)
def change_part(part_id: int) -> Response:
    """Change a part, or show the form again with what is wrong."""
    form = PartForm()
    part = queries.get_part(db.session, part_id)
    if not form.validate():
        return render("parts/edit_part.html", part=part, form=form, status=422)
    try:
        services.change_part(db.session, part_id, form.to_part())
    except PartInputError as error:
        form.put_error(error.about, error)
        return render("parts/edit_part.html", part=queries.get_part(db.session, part_id), form=form, status=422)
    return see_other(url_for("parts.part", part_id=part_id))
