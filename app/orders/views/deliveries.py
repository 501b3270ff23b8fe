"""Adding, changing, closing and removing deliveries."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, current_time, db
from app.orders import queries, services
from app.orders.errors import (
    DeliveryClosedError,
    DeliveryFilledError,
    DeliveryInUseError,
    LastRowError,
)
from app.orders.forms import DeliveryForm
from app.orders.models import Delivery, OrderLine
from app.orders.views.blueprint import bp
from app.orders.views.orders import order_page
from app.people.models import Role
from app.shared.errors import RefusedError
from app.shared.web import render, see_other


@bp.get("/orders/lines/<int:line_id>/deliveries/new")
@allowed(Role.OWNER)
def new_delivery(line_id: int) -> Response:
    """Ask for one more delivery of a line."""
    return _delivery_form(DeliveryForm(), queries.get_line(db.session, line_id))


@bp.post("/orders/lines/<int:line_id>/deliveries")
@allowed(Role.OWNER)
def add_delivery(line_id: int) -> Response:
    """Add a delivery, or show the form again with what is wrong."""
    form = DeliveryForm()
    if form.validate():
        meant = bool(form.far_dates_meant.data)
        try:
            services.add_delivery(db.session, line_id, form.to_input(), current_time(), far_dates_meant=meant)
            return _to_order(queries.get_line(db.session, line_id))
        except RefusedError as refused:
            _put(form, refused)
    return _delivery_form(form, queries.get_line(db.session, line_id), status=422)


@bp.get("/orders/deliveries/<int:delivery_id>/edit")
@allowed(Role.OWNER)
def edit_delivery(delivery_id: int) -> Response:
    """Ask for changes to a delivery's quantity and due date."""
    kept = queries.get_delivery(db.session, delivery_id)
    return _delivery_form(DeliveryForm(data={"quantity": kept.quantity, "due": kept.due}), kept.line, kept)


@bp.post("/orders/deliveries/<int:delivery_id>")
@allowed(Role.OWNER)
def change_delivery(delivery_id: int) -> Response:
    """Change a delivery, or show the form again with what is wrong."""
    form = DeliveryForm()
    if form.validate():
        meant = bool(form.far_dates_meant.data)
        try:
            services.change_delivery(db.session, delivery_id, form.to_input(), current_time(), far_dates_meant=meant)
            return _to_order(queries.get_delivery(db.session, delivery_id).line)
        except RefusedError as refused:
            _put(form, refused)
        except DeliveryClosedError as closed:
            form.put_error("quantity", closed)
    kept = queries.get_delivery(db.session, delivery_id)
    return _delivery_form(form, kept.line, kept, status=422)


@bp.post("/orders/deliveries/<int:delivery_id>/close")
@allowed(Role.OWNER)
def close_delivery(delivery_id: int) -> Response:
    """Close a delivery of which nothing more will be shipped."""
    return _to_order(services.close_delivery(db.session, delivery_id, current_time()).line)


@bp.post("/orders/deliveries/<int:delivery_id>/reopen")
@allowed(Role.OWNER)
def reopen_delivery(delivery_id: int) -> Response:
    """Open a delivery again that was closed short."""
    order_id = queries.get_delivery(db.session, delivery_id).line.order_id
    try:
        services.reopen_delivery(db.session, delivery_id)
    except DeliveryFilledError as refusal:
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


def _put(form: DeliveryForm, refused: RefusedError) -> None:
    for problem in refused.problems:
        form.put_error(problem.place, problem.error)


def _to_order(line: OrderLine) -> Response:
    return see_other(url_for("orders.order", order_id=line.order_id))


def _delivery_form(form: DeliveryForm, line: OrderLine, kept: Delivery | None = None, status: int = 200) -> Response:
    return render("orders/delivery.html", form=form, line=line, kept=kept, status=status)
