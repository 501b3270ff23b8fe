"""Studies of how well a gauge repeats and how well people agree; no page leads here until they are switched on."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE
from app.quality import queries, services
from app.quality.errors import MeasuringRefusedError, StudyError
from app.quality.forms import StudyForm
from app.quality.views.acts import office_act
from app.quality.views.blueprint import bp
from app.quality.views.gauges import KEEPERS
from app.shared.web import render, see_other


@bp.get("/gauges/<int:gauge_id>/studies/new")
@allowed(*KEEPERS)
def new_study(gauge_id: int) -> Response:
    """Ask for the values of a study."""
    return _form_page(gauge_id, StudyForm())


@bp.post("/gauges/<int:gauge_id>/studies")
@allowed(*KEEPERS)
def add_study(gauge_id: int) -> Response:
    """Keep a study, or show the form again with what is wrong."""
    form = StudyForm()
    _offer(gauge_id, form)
    if form.validate():
        try:
            study = services.record_study(db.session, office_act(form), gauge_id, form.to_input())
            return see_other(url_for("quality.study", study_id=study.id))
        except (StudyError, MeasuringRefusedError) as error:
            form.put_error("lines", error)
    return _form_page(gauge_id, form, status=422)


@bp.get("/gauge-studies/<int:study_id>")
@allowed(*EVERYONE)
def study(study_id: int) -> Response:
    """Show what a study says, both ways; it can be printed."""
    return render("quality/study.html", study=queries.get_study(db.session, study_id))


def _offer(gauge_id: int, form: StudyForm) -> None:
    gauge = queries.get_gauge(db.session, gauge_id)
    form.offer(queries.measured_with(db.session, gauge.kind_id))


def _form_page(gauge_id: int, form: StudyForm, status: int = 200) -> Response:
    _offer(gauge_id, form)
    gauge = queries.get_gauge(db.session, gauge_id)
    return render("quality/study_form.html", gauge=gauge, form=form, status=status)
