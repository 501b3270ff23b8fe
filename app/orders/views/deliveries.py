"""Adding deliveries, changing what is agreed about them, cancelling, closing and removing them."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.orders import queries, services
from app.orders.errors import (
    AgreedOtherwiseError,
    BeyondStandingError,
    DeliveryClosedError,
    DeliveryFilledError,
    DeliveryInUseError,
    LastRowError,
    NothingChangedError,
    NothingLeftError,
)
from app.orders.forms import AgreedForm, CancelForm, DeliveryForm, ShortForm
from app.orders.models import OrderLine
from app.orders.services import Talk
from app.orders.views.blueprint import bp
from app.orders.views.orders import order_page
from app.people.models import EVERYONE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import KeyedForm, render, see_other


@bp.get("/orders/lines/<int:line_id>/deliveries/new")
@allowed(Role.OWNER)
def new_delivery(line_id: int) -> Response:
    """Ask for one more delivery of a line."""
    return _new_page(DeliveryForm(), line_id)


@bp.post("/orders/lines/<int:line_id>/deliveries")
@allowed(Role.OWNER)
def add_delivery(line_id: int) -> Response:
    """Add a delivery, or show the form again with what is wrong."""
    form = DeliveryForm()
    if not form.validate():
        return _new_page(form, line_id, status=422)
    talk = _talk(form, form.agreed_with.data or "")
    try:
        return _to_order(services.add_delivery(db.session, line_id, form.to_terms(), talk).line)
    except RefusedError as refused:
        form.put_refused(refused)
    except AgreedOtherwiseError as refused:
        form.put_error("quantity", refused)
    return _new_page(form, line_id, status=422)


@bp.get("/orders/deliveries/<int:delivery_id>")
@allowed(*EVERYONE)
def delivery(delivery_id: int) -> Response:
    """Show one delivery: what was agreed when, which lots it touches, and what can be done."""
    return _delivery_page(delivery_id)


@bp.post("/orders/deliveries/<int:delivery_id>")
@allowed(Role.OWNER)
def change_delivery(delivery_id: int) -> Response:
    """Change what is agreed about a delivery, or show the form again with what is wrong."""
    form = AgreedForm()
    form.offer(queries.revisions_of(db.session, delivery_id))
    if not form.validate():
        return _delivery_page(delivery_id, agreed=form, status=422)
    talk = _talk(form, form.agreed_with.data or "", form.note.data or "")
    try:
        services.change_delivery(db.session, delivery_id, form.to_terms(), talk)
        return _to_delivery(delivery_id)
    except RefusedError as refused:
        form.put_refused(refused)
    except (DeliveryClosedError, NothingChangedError, AgreedOtherwiseError) as refusal:
        form.put_error("quantity", refusal)
    return _delivery_page(delivery_id, agreed=form, status=422)


@bp.post("/orders/deliveries/<int:delivery_id>/cancel")
@allowed(Role.OWNER)
def cancel_delivery(delivery_id: int) -> Response:
    """Close a delivery because the customer cancelled it, or show the form again with what is wrong."""
    form = CancelForm(prefix="cancel-")
    if not form.validate():
        return _delivery_page(delivery_id, cancelling=form, status=422)
    try:
        services.cancel_delivery(
            db.session, delivery_id, _talk(form, form.agreed_with.data or "", form.reason.data or "")
        )
        return _to_delivery(delivery_id)
    except (NothingLeftError, AgreedOtherwiseError) as refusal:
        form.put_error("reason", refusal)
    return _delivery_page(delivery_id, cancelling=form, status=422)


@bp.post("/orders/deliveries/<int:delivery_id>/close")
@allowed(Role.OWNER)
def close_delivery(delivery_id: int) -> Response:
    """Close a delivery of which nothing more will be shipped, or show the form again with what is wrong."""
    form = ShortForm(prefix="short-")
    if not form.validate():
        return _delivery_page(delivery_id, short=form, status=422)
    try:
        services.close_delivery(db.session, delivery_id, _talk(form, form.agreed_with.data or "", form.note.data or ""))
        return _to_delivery(delivery_id)
    except AgreedOtherwiseError as refusal:
        form.put_error("agreed_with", refusal)
    return _delivery_page(delivery_id, short=form, status=422)


@bp.post("/orders/deliveries/<int:delivery_id>/reopen")
@allowed(Role.OWNER)
def reopen_delivery(delivery_id: int) -> Response:
    """Open a delivery again that was closed short or cancelled."""
    order_id = queries.get_delivery(db.session, delivery_id).line.order_id
    try:
        services.reopen_delivery(db.session, delivery_id, _talk(KeyedForm()))
    except (DeliveryFilledError, BeyondStandingError) as refusal:
        return order_page(order_id, str(refusal), status=422)
    return see_other(url_for("orders.order", order_id=order_id))


@bp.post("/orders/deliveries/<int:delivery_id>/remove")
@allowed(Role.OWNER)
def remove_delivery(delivery_id: int) -> Response:
    """Remove a delivery for which nothing was done yet."""
    order_id = queries.get_delivery(db.session, delivery_id).line.order_id
    try:
        services.remove_delivery(db.session, delivery_id)
    except (LastRowError, DeliveryInUseError) as refusal:
        return order_page(order_id, str(refusal), status=422)
    return see_other(url_for("orders.order", order_id=order_id))


def _talk(form: KeyedForm, agreed_with: str = "", note: str = "") -> Talk:
    return Talk(form.client_key(), current_time(), sign_in.person, agreed_with, note)


def _to_order(line: OrderLine) -> Response:
    return see_other(url_for("orders.order", order_id=line.order_id))


def _to_delivery(delivery_id: int) -> Response:
    return see_other(url_for("orders.delivery", delivery_id=delivery_id))


def _new_page(form: DeliveryForm, line_id: int, status: int = 200) -> Response:
    return render("orders/new_delivery.html", form=form, line=queries.get_line(db.session, line_id), status=status)


def _delivery_page(
    delivery_id: int,
    *,
    agreed: AgreedForm | None = None,
    cancelling: CancelForm | None = None,
    short: ShortForm | None = None,
    status: int = 200,
) -> Response:
    kept = queries.get_delivery(db.session, delivery_id)
    line = queries.get_line(db.session, kept.line_id)
    if agreed is None:
        agreed = AgreedForm(
            formdata=None, data={"quantity": kept.quantity, "due": kept.due, "revision_id": line.revision_id}
        )
        agreed.offer(queries.revisions_of(db.session, delivery_id))
    return render(
        "orders/delivery.html",
        delivery=kept,
        line=line,
        agreements=queries.agreements_of(db.session, delivery_id),
        form=agreed,
        cancelling=cancelling or CancelForm(formdata=None, prefix="cancel-"),
        short=short or ShortForm(formdata=None, prefix="short-"),
        today=queries.shop_today(db.session, current_time()),
        status=status,
    )
