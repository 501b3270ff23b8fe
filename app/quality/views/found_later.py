"""Pieces of a lot that turn out bad after they have moved on: finished, in stock, or at a later operation."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots.models import LotCharacteristic
from app.lots.queries import get_lot
from app.quality import queries, services
from app.quality.errors import DispositionError, FarOutError, MeasuringRefusedError
from app.quality.forms import FoundLaterForm
from app.quality.services import MAY_DECIDE
from app.quality.views.acts import office_act
from app.quality.views.blueprint import bp
from app.shared.web import render, see_other


@bp.get("/nonconformances/found-later/<int:lot_id>")
@allowed(*MAY_DECIDE)
def found_later(lot_id: int) -> Response:
    """Ask which reading is bad and how many pieces may be; a link from a doubtful reading fills some of it in."""
    told = {name: request.args.get(name, type=int) for name in ("of", "piece", "gauge_id")}
    return _page(lot_id, FoundLaterForm(formdata=None, data={name: each for name, each in told.items() if each}))


@bp.post("/nonconformances/found-later/<int:lot_id>")
@allowed(*MAY_DECIDE)
def add_found_later(lot_id: int) -> Response:
    """Put it on record and hold the lot, or show the form again with what is wrong or in doubt."""
    form = FoundLaterForm()
    planned = _offer(lot_id, form)
    in_doubt = False
    if form.validate():
        try:
            found = services.report_found_later(db.session, office_act(form), lot_id, form.to_input(planned))
            return see_other(url_for("quality.nonconformance", nonconformance_id=found.id))
        except FarOutError as error:
            in_doubt = True
            form.put_error("typed", error)
        except (DispositionError, MeasuringRefusedError) as error:
            form.put_error(error.about if error.about in form else "typed", error)
    return _page(lot_id, form, in_doubt=in_doubt, status=422)


def _offer(lot_id: int, form: FoundLaterForm) -> list[LotCharacteristic]:
    planned = queries.planned_of(get_lot(db.session, lot_id))
    form.offer(planned, [each for each in queries.all_gauges(db.session) if each.active])
    return planned


def _page(lot_id: int, form: FoundLaterForm, *, in_doubt: bool = False, status: int = 200) -> Response:
    lot = get_lot(db.session, lot_id)
    planned = _offer(lot_id, form)
    left = services.pieces_left(lot)
    if form.pieces.data is None and not form.pieces.raw_data:
        form.pieces.data = left
    return render(
        "quality/found_later.html", lot=lot, form=form, planned=planned, left=left, in_doubt=in_doubt, status=status
    )
