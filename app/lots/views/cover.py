"""Where the pieces of an order's deliveries come from, and what can be done where they come short."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots import queries, services
from app.lots.errors import LedgerError
from app.lots.forms import KeyForm, MeanForForm
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.orders import queries as order_queries
from app.people.models import EVERYONE, OFFICE
from app.shared.web import render, see_other


@bp.get("/orders/<int:order_id>/cover")
@allowed(*EVERYONE)
def cover(order_id: int) -> Response:
    """Show which lots and what stock each delivery of an order gets its pieces from."""
    return _cover_page(order_id)


def _cover_page(order_id: int, *, status: int = 200, refusal: str = "", refused: MeanForForm | None = None) -> Response:
    covers = queries.covers_of_order(db.session, order_id)
    return render(
        "lots/cover.html",
        fragment="lots/_cover.html",
        status=status,
        order=order_queries.get_order(db.session, order_id),
        covers=covers,
        forms=_forms(covers, refused),
        refusal=refusal,
    )


def _forms(covers: list[queries.Cover], refused: MeanForForm | None) -> dict[tuple[int, int], MeanForForm]:
    """Return a form for each lot whose free pieces a delivery could have, by the ids of delivery and lot.

    The oldest lots are proposed to fill what is missing, the next ones for what then still lacks.
    """
    forms = {}
    for each in covers:
        missing = each.missing
        for free in each.free if missing else []:
            pieces = min(missing or each.missing, free.pieces)
            missing -= min(missing, pieces)
            form = MeanForForm.fresh(each.delivery.id, free.lot.id, pieces)
            forms[each.delivery.id, free.lot.id] = refused if refused and refused.prefix == form.prefix else form
    return forms


@bp.post("/lots/<int:lot_id>/deliveries/<int:delivery_id>")
@allowed(*OFFICE)
def mean_for(lot_id: int, delivery_id: int) -> Response:
    """Mean free pieces of a lot for a delivery."""
    form = MeanForForm(prefix=MeanForForm.prefix_of(delivery_id, lot_id))
    order_id = order_queries.get_delivery(db.session, delivery_id).line.order_id
    if not form.validate():
        return _cover_page(order_id, status=422, refused=form)
    try:
        services.mean_for(db.session, office_act(form), lot_id, delivery_id, form.pieces.data or 0)
    except LedgerError as error:
        form.put_error("pieces", error)
        return _cover_page(order_id, status=422, refused=form, refusal=str(error))
    return see_other(url_for("orders.order", order_id=order_id, _anchor="cover"))


@bp.post("/lots/<int:lot_id>/deliveries/<int:delivery_id>/free")
@allowed(*OFFICE)
def free_again(lot_id: int, delivery_id: int) -> Response:
    """Mean the lot's pieces for the delivery no longer: they go to stock."""
    order_id = order_queries.get_delivery(db.session, delivery_id).line.order_id
    try:
        services.free_again(db.session, office_act(KeyForm()), lot_id, delivery_id)
    except LedgerError as error:
        return _cover_page(order_id, status=422, refusal=str(error))
    return see_other(url_for("orders.order", order_id=order_id, _anchor="cover"))
