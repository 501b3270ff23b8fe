"""Pieces out of tolerance: the list, and deciding about them."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots.errors import LedgerError
from app.people.models import EVERYONE
from app.quality import queries, services
from app.quality.errors import DispositionError, MeasuringRefusedError
from app.quality.forms import DispositionForm
from app.quality.services import MAY_DECIDE
from app.quality.views.acts import office_act
from app.quality.views.blueprint import bp
from app.shared.web import render, see_other, typed_page


@bp.get("/nonconformances")
@allowed(*EVERYONE)
def nonconformances() -> Response:
    """Show the nonconformances that are open; with ``?decided`` those that are decided."""
    closed = "decided" in request.args
    found = queries.nonconformances(db.session, typed_page(), closed=closed)
    return render("quality/nonconformances.html", found=found, closed=closed)


@bp.get("/nonconformances/<int:nonconformance_id>")
@allowed(*EVERYONE)
def nonconformance(nonconformance_id: int) -> Response:
    """Show one nonconformance: which pieces are suspect, where they are, and what was decided."""
    return _page(nonconformance_id)


@bp.post("/nonconformances/<int:nonconformance_id>/dispositions")
@allowed(*MAY_DECIDE)
def add_disposition(nonconformance_id: int) -> Response:
    """Decide about some of the pieces, or show the form again with what is wrong."""
    form = DispositionForm()
    _offer(nonconformance_id, form)
    if form.validate():
        try:
            services.dispose(db.session, office_act(form), nonconformance_id, form.to_input())
            return see_other(url_for("quality.nonconformance", nonconformance_id=nonconformance_id))
        except (DispositionError, MeasuringRefusedError) as error:
            form.put_error(error.about if error.about in form else "pieces", error)
        except LedgerError as error:
            form.put_error("pieces", error)
    return _page(nonconformance_id, form, status=422)


def _offer(nonconformance_id: int, form: DispositionForm) -> None:
    found = queries.get_nonconformance(db.session, nonconformance_id)
    form.offer(found, queries.whereabouts(found), queries.vendor_choices(db.session))


def _page(nonconformance_id: int, form: DispositionForm | None = None, status: int = 200) -> Response:
    found = queries.get_nonconformance(db.session, nonconformance_id)
    here = queries.whereabouts(found)
    if form is None:
        usual = {"left": found.left, "pieces": found.left, "at_operation_id": here.likely_id}
        form = DispositionForm(formdata=None, data=usual)
    form.offer(found, here, queries.vendor_choices(db.session))
    form.left.data = str(found.left)
    return render("quality/nonconformance.html", found=found, here=here, form=form, status=status)
