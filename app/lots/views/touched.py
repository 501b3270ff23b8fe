"""The lots that a delivery touches, and what becomes of them when the customer changes their mind."""

from collections.abc import Callable
from dataclasses import dataclass

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots import queries, services
from app.lots.errors import LedgerError, TooManyPiecesError
from app.lots.forms import TouchedForm
from app.lots.models import Lot
from app.lots.queries.cover import Cover, Serving
from app.lots.services import Act
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.people.models import EVERYONE, OFFICE
from app.shared.web import render, see_other
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class Touched:
    """A lot that serves a delivery, and what can be done with it.

    Attributes:
        serving: the lot and its share.
        present: pieces at its operations.
        left: pieces meant for the delivery that have not left.
        without_blanks: pieces whose blanks are not issued.
        form: what becomes of it.
    """

    serving: Serving
    present: int
    left: int
    without_blanks: int
    form: TouchedForm


@bp.get("/orders/deliveries/<int:delivery_id>/touched")
@allowed(*EVERYONE)
def touched(delivery_id: int) -> Response:
    """Show which lots a delivery touches, where their pieces are, and what can be done."""
    return _touched_page(delivery_id)


def _stop(act: Act, lot: Lot, _delivery_id: int, form: TouchedForm) -> None:
    services.hold_lot(db.session, act, lot.id, form.reason.data or gettext("customer cancelled"))


def _start_fewer(act: Act, lot: Lot, _delivery_id: int, form: TouchedForm) -> None:
    waiting = services.blanks_wanted(db.session, lot)
    if (form.pieces.data or waiting) > waiting:
        raise TooManyPiecesError(form.pieces.data or 0, waiting, queries.lot_name(lot))
    services.start_fewer(db.session, act, lot.id, form.pieces.data or waiting)


def _for_stock(act: Act, lot: Lot, delivery_id: int, form: TouchedForm) -> None:
    services.free_again(db.session, act, lot.id, delivery_id, form.pieces.data)


def _scrap(act: Act, lot: Lot, delivery_id: int, form: TouchedForm) -> None:
    pieces = form.pieces.data or sum(operation.present for operation in lot.operations)
    reason = form.reason.data or gettext("customer cancelled")
    services.scrap_left(db.session, act, lot.id, pieces, reason, given_up=delivery_id)


OFFERS: dict[str, Callable[[Act, Lot, int, TouchedForm], None]] = {
    "stop": _stop,
    "fewer": _start_fewer,
    "stock": _for_stock,
    "scrap": _scrap,
}


@bp.post("/orders/deliveries/<int:delivery_id>/touched/<int:lot_id>")
@allowed(*OFFICE)
def settle_touched(delivery_id: int, lot_id: int) -> Response:
    """Stop a lot, start fewer of it, finish it for stock or scrap its rest, as the pressed button says."""
    form = TouchedForm(prefix=TouchedForm.prefix_of(lot_id))
    what = OFFERS.get(request.form.get("what", ""), _stop)
    if not form.validate():
        return _touched_page(delivery_id, refused=form, status=422)
    try:
        what(office_act(form), queries.get_lot(db.session, lot_id), delivery_id, form)
    except LedgerError as error:
        form.put_error("pieces", error)
        return _touched_page(delivery_id, refused=form, status=422)
    return see_other(url_for("orders.delivery", delivery_id=delivery_id, _anchor="touched"))


def _touched_page(delivery_id: int, *, refused: TouchedForm | None = None, status: int = 200) -> Response:
    cover = queries.cover_of_delivery(db.session, delivery_id)
    return render(
        "lots/touched.html",
        fragment="lots/_touched.html",
        status=status,
        cover=cover,
        delivery=cover.delivery,
        touched=[_touched(cover, serving, refused) for serving in cover.serving],
    )


def _touched(cover: Cover, serving: Serving, refused: TouchedForm | None) -> Touched:
    lot, share = serving.lot, serving.share
    left = share.quantity - share.shipped
    wanted_elsewhere = cover.delivery.closed_at is not None or not share.of_the_revision
    spare = left if wanted_elsewhere else min(left, cover.surplus)
    prefix = TouchedForm.prefix_of(lot.id)
    form = TouchedForm(formdata=None, prefix=prefix, data={"pieces": spare or None})
    if refused is not None and refused.key.name.startswith(prefix):
        form = refused
    present = sum(operation.present for operation in lot.operations)
    return Touched(serving, present, left, services.blanks_wanted(db.session, lot), form)
