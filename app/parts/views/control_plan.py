"""Pages of a revision's control plan."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts import queries, services
from app.parts.forms import CharacteristicForm, PlanHeadForm
from app.parts.forms.control_plan import UNITS
from app.parts.models import Characteristic
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations.queries import find_shop

PLANNERS = (Role.OWNER, Role.SETUP_LEAD, Role.INSPECTOR)


@bp.get("/parts/revisions/<int:revision_id>/control-plan")
@allowed(*EVERYONE)
def control_plan(revision_id: int) -> Response:
    """Show what is measured of a revision, operation by operation; it can be printed."""
    return _plan_page(revision_id)


@bp.post("/parts/revisions/<int:revision_id>/control-plan")
@allowed(*PLANNERS)
def change_plan_head(revision_id: int) -> Response:
    """Change what the plan says of itself, or show it again with what is wrong."""
    form = PlanHeadForm()
    if not form.validate():
        return _plan_page(revision_id, form, status=422)
    services.change_plan_head(db.session, revision_id, form.to_input(), by=sign_in.person, now=current_time())
    return see_other(url_for("parts.control_plan", revision_id=revision_id))


def _plan_page(revision_id: int, form: PlanHeadForm | None = None, status: int = 200) -> Response:
    head = queries.plan_head(db.session, revision_id)
    return render(
        "parts/control_plan.html",
        revision=queries.get_revision(db.session, revision_id),
        plan=queries.control_plan(db.session, revision_id),
        routing=queries.routing_of(db.session, revision_id),
        head=head,
        shop=find_shop(db.session),
        form=form or PlanHeadForm(obj=head, formdata=None),
        status=status,
    )


@bp.get("/parts/revisions/<int:revision_id>/characteristics/new")
@allowed(*PLANNERS)
def new_characteristic(revision_id: int) -> Response:
    """Ask for the next characteristic."""
    number = queries.next_characteristic_number(db.session, revision_id)
    unit = queries.shop_units(db.session).length_unit
    return _form_page(revision_id, CharacteristicForm(data={"number": number, "unit": unit}))


@bp.post("/parts/revisions/<int:revision_id>/characteristics")
@allowed(*PLANNERS)
def add_characteristic(revision_id: int) -> Response:
    """Add a characteristic, or show the form again with what is wrong."""
    form = CharacteristicForm()
    _offer(revision_id, form)
    if form.validate():
        try:
            services.add_characteristic(db.session, revision_id, form.to_input(), by=sign_in.person, now=current_time())
            return see_other(url_for("parts.control_plan", revision_id=revision_id))
        except RefusedError as refused:
            form.put_refused(refused)
    return _form_page(revision_id, form, status=422)


@bp.get("/parts/characteristics/<int:characteristic_id>/edit")
@allowed(*PLANNERS)
def edit_characteristic(characteristic_id: int) -> Response:
    """Ask for changes to a characteristic."""
    found = queries.get_characteristic(db.session, characteristic_id)
    return _form_page(found.revision_id, CharacteristicForm.showing(found), found)


@bp.post("/parts/characteristics/<int:characteristic_id>")
@allowed(*PLANNERS)
def change_characteristic(characteristic_id: int) -> Response:
    """Change a characteristic, or show the form again with what is wrong."""
    found = queries.get_characteristic(db.session, characteristic_id)
    form = CharacteristicForm()
    _offer(found.revision_id, form)
    if form.validate():
        try:
            services.change_characteristic(
                db.session, characteristic_id, form.to_input(), by=sign_in.person, now=current_time()
            )
            return see_other(url_for("parts.control_plan", revision_id=found.revision_id))
        except RefusedError as refused:
            form.put_refused(refused)
    return _form_page(found.revision_id, form, found, status=422)


@bp.post("/parts/characteristics/<int:characteristic_id>/retire")
@allowed(*PLANNERS)
def retire_characteristic(characteristic_id: int) -> Response:
    """Take a characteristic off the plan."""
    found = services.retire_characteristic(db.session, characteristic_id, by=sign_in.person, now=current_time())
    return see_other(url_for("parts.control_plan", revision_id=found.revision_id))


def _offer(revision_id: int, form: CharacteristicForm) -> None:
    routing = queries.routing_of(db.session, revision_id)
    steps = routing.operations if routing else []
    form.offer(
        [(each.number, f"{each.number} {each.title}".strip()) for each in steps],
        samples=queries.quality_switches(db.session).sampling,
    )


def _form_page(
    revision_id: int, form: CharacteristicForm, row: Characteristic | None = None, status: int = 200
) -> Response:
    _offer(revision_id, form)
    return render(
        "parts/characteristic.html",
        revision=queries.get_revision(db.session, revision_id),
        form=form,
        row=row,
        units=UNITS,
        gauge_kinds=queries.gauge_kinds(db.session),
        status=status,
    )
