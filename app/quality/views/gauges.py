"""Gauges: the list, one of them, its calibrations, and what a bad one leaves in doubt."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts.errors import FileRefusedError
from app.parts.queries import gauge_kinds, quality_switches, shop_units
from app.people.models import EVERYONE, Role
from app.quality import queries, services
from app.quality.errors import GaugeInputError
from app.quality.forms import CalibrationForm, GaugeForm
from app.quality.models import Condition, Gauge, WhenOverdue
from app.quality.views.acts import office_act
from app.quality.views.blueprint import bp
from app.shared.clock import current_time
from app.shared.web import render, see_other
from app.shared.words import local

KEEPERS = (Role.OWNER, Role.INSPECTOR)


@bp.get("/gauges")
@allowed(*EVERYONE)
def gauges() -> Response:
    """Show all gauges, the one due first at the top."""
    today = local(current_time()).date()
    return render("quality/gauges.html", gauges=queries.all_gauges(db.session), today=today)


@bp.get("/gauges/new")
@allowed(*KEEPERS)
def new_gauge() -> Response:
    """Ask for a gauge."""
    usual = {"unit": shop_units(db.session).length_unit, "interval_months": 12, "when_overdue": WhenOverdue.BLOCK}
    return _form_page(GaugeForm(data=usual))


@bp.post("/gauges")
@allowed(*KEEPERS)
def add_gauge() -> Response:
    """List a gauge, or show the form again with what is wrong."""
    form = GaugeForm()
    if form.validate():
        try:
            gauge = services.add_gauge(db.session, form.to_input(), by=sign_in.person)
            return see_other(url_for("quality.gauge", gauge_id=gauge.id))
        except GaugeInputError as error:
            form.put_error(error.about, error)
    return _form_page(form, status=422)


@bp.get("/gauges/<int:gauge_id>")
@allowed(*EVERYONE)
def gauge(gauge_id: int) -> Response:
    """Show one gauge with its calibrations, and the readings that one found out left in doubt."""
    return _gauge_page(gauge_id)


@bp.get("/gauges/<int:gauge_id>/edit")
@allowed(*KEEPERS)
def edit_gauge(gauge_id: int) -> Response:
    """Ask for changes to a gauge."""
    found = queries.get_gauge(db.session, gauge_id)
    return _form_page(GaugeForm.showing(found), found)


@bp.post("/gauges/<int:gauge_id>")
@allowed(*KEEPERS)
def change_gauge(gauge_id: int) -> Response:
    """Change a gauge, or show the form again with what is wrong."""
    form = GaugeForm()
    if form.validate():
        try:
            services.change_gauge(db.session, gauge_id, form.to_input(), by=sign_in.person)
            return see_other(url_for("quality.gauge", gauge_id=gauge_id))
        except GaugeInputError as error:
            form.put_error(error.about, error)
    return _form_page(form, queries.get_gauge(db.session, gauge_id), status=422)


@bp.post("/gauges/<int:gauge_id>/delete")
@allowed(*KEEPERS)
def delete_gauge(gauge_id: int) -> Response:
    """Delete a gauge that was listed by mistake."""
    try:
        services.delete_gauge(db.session, gauge_id)
    except GaugeInputError as error:
        found = queries.get_gauge(db.session, gauge_id)
        form = GaugeForm.showing(found)
        form.put_error(error.about, error)
        return _form_page(form, found, status=422)
    return see_other(url_for("quality.gauges"))


@bp.post("/gauges/<int:gauge_id>/calibrations")
@allowed(*KEEPERS)
def add_calibration(gauge_id: int) -> Response:
    """Keep a calibration, or show the form again with what is wrong."""
    form = CalibrationForm()
    if form.validate():
        try:
            services.record_calibration(db.session, office_act(form), gauge_id, form.to_input())
            return see_other(url_for("quality.gauge", gauge_id=gauge_id))
        except GaugeInputError as error:
            form.put_error(error.about, error)
        except FileRefusedError as error:
            form.put_error("file", error)
    return _gauge_page(gauge_id, form, status=422)


def _form_page(form: GaugeForm, row: Gauge | None = None, status: int = 200) -> Response:
    return render("quality/gauge_form.html", form=form, row=row, gauge_kinds=gauge_kinds(db.session), status=status)


def _gauge_page(gauge_id: int, form: CalibrationForm | None = None, status: int = 200) -> Response:
    found = queries.get_gauge(db.session, gauge_id)
    today = local(current_time()).date()
    if form is None:
        usual = {"made_on": today, "as_found": Condition.GOOD, "as_left": Condition.GOOD}
        form = CalibrationForm(formdata=None, data=usual)
    return render(
        "quality/gauge.html",
        gauge=found,
        form=form,
        today=today,
        wrong=queries.gauge_words(found, today),
        doubtful=queries.doubtful_readings(db.session, found),
        too_coarse=queries.too_coarse(db.session, found),
        studies=queries.studies_of(db.session, gauge_id) if quality_switches(db.session).studies else None,
        status=status,
    )
