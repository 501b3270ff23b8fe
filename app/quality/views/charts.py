"""Charts of what was measured, and what of quality is shown."""

from flask import url_for
from werkzeug.wrappers import Response

from app.core.quality.errors import BadInputError, Fault
from app.extensions import allowed, db
from app.parts.errors import fault_words
from app.parts.models import Characteristic
from app.parts.queries import get_characteristic, quality_switches
from app.people.models import EVERYONE, Role
from app.quality import queries, services
from app.quality.forms import ChartForm, SwitchesForm, rule_words
from app.quality.queries import Asked, Charted, Charts
from app.quality.services import Switched
from app.quality.views.blueprint import bp
from app.shared.web import render, see_other, typed_page
from app.shared.words import gettext


@bp.get("/characteristics")
@allowed(*EVERYONE)
def characteristics() -> Response:
    """Show what has readings, to open its chart."""
    found, counts = queries.charted_characteristics(db.session, typed_page())
    return render("quality/characteristics.html", found=found, counts=counts)


@bp.get("/characteristics/<int:characteristic_id>")
@allowed(*EVERYONE)
def characteristic(characteristic_id: int) -> Response:
    """Show the charts of one characteristic across lots, as chosen in the address; they can be printed."""
    found = get_characteristic(db.session, characteristic_id)
    stations, gauges = queries.measured_at(db.session, characteristic_id)
    form = ChartForm(quality_switches(db.session), stations, gauges)
    wrong = ""
    charted, charts = Charted([], left_out=False), None
    if form.validate() and found.is_measured:
        charted = queries.charted_readings(db.session, characteristic_id, form.to_chosen())
        try:
            charts = _drawn(form, found, charted)
        except BadInputError as error:
            wrong = fault_words(error) if charted.readings else gettext("No readings yet of what is chosen.")
            if error.fault is Fault.EMPTY_BASE and (form.base_since.data or form.base_until.data):
                form.put_error("base_since", wrong)
    return render(
        "quality/characteristic.html",
        characteristic=found,
        revision=found.revision,
        form=form,
        charted=charted,
        charts=charts,
        wrong=wrong,
        drift=queries.drift_of_last_lot(charted.readings, found.limits) if found.is_measured else None,
        rule_words=rule_words(),
        status=422 if form.errors else 200,
    )


def _drawn(form: ChartForm, found: Characteristic, charted: Charted) -> Charts:
    base = queries.base_period(charted.readings, form.to_chosen())
    asked = Asked(form.kind.data, form.size.data or 5, form.rules.rules, base)
    return queries.draw_charts(charted, found.limits, asked)


@bp.get("/quality")
@allowed(Role.OWNER)
def switches() -> Response:
    """Show what of quality is switched on."""
    row = quality_switches(db.session)
    return render("quality/switches.html", form=SwitchesForm(obj=row))


@bp.post("/quality")
@allowed(Role.OWNER)
def change_switches() -> Response:
    """Switch on what the shop wants to see."""
    form = SwitchesForm()
    if not form.validate():
        return render("quality/switches.html", form=form, status=422)
    on = Switched(bool(form.studies.data), bool(form.sampling.data), bool(form.moving_averages.data), form.rules.rules)
    services.change_switches(db.session, on)
    return see_other(url_for("quality.switches"))
