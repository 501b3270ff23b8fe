"""The editor of a routing, and its versions to look at."""

from flask import flash, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts import queries, services
from app.parts.errors import NoRoutingToCopyError, NoSuchPartError, RoutingClashError, RoutingRefusedError
from app.parts.forms import ButtonPressed, Offer, RoutingForm, rearranged, rows_of
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.web import render, see_other
from app.shared.words import gettext
from app.stations import queries as station_queries


def _offer() -> Offer:
    session = db.session
    return Offer(queries.all_kinds(session), station_queries.work_centers(session), queries.shop_units(session))


@bp.get("/parts/revisions/<int:revision_id>/routings/<int:version>")
@allowed(*EVERYONE)
def routing(revision_id: int, version: int) -> Response:
    """Show one version of a routing as it was saved."""
    return render(
        "parts/routing.html",
        revision=queries.get_revision(db.session, revision_id),
        routing=queries.routing_version(db.session, revision_id, version),
        versions=queries.routing_versions(db.session, revision_id),
        units=queries.shop_units(db.session),
    )


@bp.get("/parts/revisions/<int:revision_id>/routing")
@allowed(*OFFICE)
def edit_routing(revision_id: int) -> Response:
    """Show the newest operations to be changed."""
    newest = queries.routing_of(db.session, revision_id)
    data = {"operations": rows_of(newest, with_files=True), "base_version": str(newest.version if newest else 0)}
    return _editor(revision_id, RoutingForm(_offer(), data=data))


@bp.post("/parts/revisions/<int:revision_id>/routing")
@allowed(*OFFICE)
def change_routing(revision_id: int) -> Response:
    """Store what was typed as the next version; or, for a button on a row, show the form with the rows rearranged."""
    pressed = ButtonPressed.among(request.form)
    if pressed is not None:
        return _rearranged(revision_id, pressed)
    form = RoutingForm(_offer())
    if not form.validate():
        return _editor(revision_id, form, status=422)
    try:
        new = form.to_input()
        saved = services.save_routing(db.session, revision_id, new, by=sign_in.person, now=current_time())
    except RoutingRefusedError as error:
        form.put_problems(error.problems)
        return _editor(revision_id, form, status=422)
    except RoutingClashError as error:
        return _clash(revision_id, error)
    flash(_said(saved.version, changed=saved.version != new.base_version), "note")
    return see_other(url_for("parts.part", part_id=saved.revision.part_id, revision=revision_id))


def _said(version: int, *, changed: bool) -> str:
    if changed:
        return gettext(
            "Version %(version)s of the routing is stored. Lots that are released keep theirs.", version=version
        )
    return gettext("Nothing was changed: version %(version)s of the routing stands.", version=version)


def _rearranged(revision_id: int, pressed: ButtonPressed) -> Response:
    if pressed.name != "copy":
        return _editor(revision_id, RoutingForm(_offer(), formdata=rearranged(request.form, pressed)))
    form = RoutingForm(_offer())
    number = form.copy_from.data or ""
    try:
        rows = rows_of(queries.routing_to_copy(db.session, number), with_files=False)
    except (NoSuchPartError, NoRoutingToCopyError) as error:
        form.put_error("copy_from", error)
        return _editor(revision_id, form, status=422)
    note = gettext("Copied from %(number)s", number=number)
    data = {"operations": rows, "base_version": form.base_version.data, "note": form.note.data or note}
    return _editor(revision_id, RoutingForm(_offer(), formdata=None, data=data))


def _clash(revision_id: int, error: RoutingClashError) -> Response:
    """Show what was typed, now made from the version that came between; files follow to that version's operations."""
    typed: MultiDict[str, str] = MultiDict(request.form)
    typed["base_version"] = str(error.version)
    form = RoutingForm(_offer(), formdata=typed)
    followers = queries.following_operations(db.session, revision_id, form.source_ids)
    for row in form.rows:
        row.follow(followers)
    return _editor(revision_id, form, clash=error, status=422)


def _editor(
    revision_id: int, form: RoutingForm, *, clash: RoutingClashError | None = None, status: int = 200
) -> Response:
    return render(
        "parts/edit_routing.html",
        fragment="parts/_routing_form.html",
        revision=queries.get_revision(db.session, revision_id),
        form=form,
        clash=clash,
        choices=queries.find_parts(db.session, ""),
        units=queries.shop_units(db.session),
        status=status,
    )
