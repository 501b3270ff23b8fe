"""Shipments: the list, what is ready, recording one, its slip, and taking one back."""

from collections import Counter

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots.errors import CannotUndoError, KeyReusedError
from app.orders.queries import get_customer, shop_today
from app.people.models import EVERYONE, OFFICE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.fields import one_line
from app.shared.web import render, see_other, typed_page
from app.shipping import queries, services
from app.shipping.errors import DayOverError, TakenBackError
from app.shipping.forms import ShipmentForm, TakeBackForm, proposed_rows
from app.shipping.queries import Cargo, Leaving
from app.shipping.views.acts import office_act
from app.shipping.views.blueprint import bp
from app.stations.queries import find_shop


@bp.get("/shipments")
@allowed(*EVERYONE)
def shipments() -> Response:
    """Show the shipments, newest first, or those that a search finds."""
    text = one_line(request.args.get("q"))
    found = queries.shipments_page(db.session, text, typed_page())
    return render("shipping/shipments.html", text=text, found=found)


@bp.get("/shipments/new")
@allowed(*EVERYONE)
def ready() -> Response:
    """Show what is ready to ship, by customer and due."""
    today = shop_today(db.session, current_time())
    return render("shipping/ready.html", ready=queries.ready_to_ship(db.session, today), today=today)


@bp.get("/shipments/new/<int:customer_id>")
@allowed(*OFFICE)
def new_shipment(customer_id: int) -> Response:
    """Ask what leaves for a customer, proposing what is ready; with typed rows, reckon what they would do."""
    if "shipped_on" in request.args:
        return _form_page(ShipmentForm(formdata=request.args), customer_id)
    today = shop_today(db.session, current_time())
    rows = proposed_rows(queries.ready_for(db.session, customer_id, today))
    return _form_page(ShipmentForm(data={"shipped_on": today, "lines": rows}), customer_id)


@bp.post("/shipments")
@allowed(*OFFICE)
def add_shipment() -> Response:
    """Record a shipment, or show the form again with what is wrong beside each field."""
    form = ShipmentForm()
    customer_id = form.customer_id.data or 0
    if not form.validate():
        return _form_page(form, customer_id, status=422)
    try:
        shipment = services.ship(db.session, office_act(form), form.to_input())
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_problem(problem)
        return _form_page(form, customer_id, status=422)
    except KeyReusedError as refused:
        form.form_errors.append(str(refused))
        return _form_page(form, customer_id, status=422)
    return see_other(url_for("shipping.shipment", shipment_id=shipment.id))


@bp.get("/shipments/<int:shipment_id>")
@allowed(*EVERYONE)
def shipment(shipment_id: int) -> Response:
    """Show one shipment."""
    return _shipment_page(shipment_id, TakeBackForm())


@bp.get("/shipments/<int:shipment_id>/slip")
@allowed(*EVERYONE)
def slip(shipment_id: int) -> Response:
    """Show the packing slip to print."""
    kept = queries.get_shipment(db.session, shipment_id)
    if kept.taken_back_at is not None:
        raise TakenBackError(kept.number)
    return render(
        "shipping/slip.html",
        shipment=kept,
        shop=find_shop(db.session),
        leavings=queries.leavings(db.session, kept),
        heats=queries.heats_of_lots(db.session, [line.lot_id for line in kept.lines]),
    )


@bp.post("/shipments/<int:shipment_id>/taken-back")
@allowed(Role.OWNER)
def take_back_shipment(shipment_id: int) -> Response:
    """Take a shipment back that was recorded by mistake today, or show why not."""
    form = TakeBackForm()
    if not form.validate():
        return _shipment_page(shipment_id, form, status=422)
    try:
        services.take_back_shipment(db.session, office_act(form), shipment_id, form.reason.data or "")
    except (DayOverError, CannotUndoError) as refused:
        form.put_error("reason", refused)
        return _shipment_page(shipment_id, form, status=422)
    return see_other(url_for("shipping.shipment", shipment_id=shipment_id))


@bp.get("/shipments/of-lot/<int:lot_id>")
@allowed(*EVERYONE)
def left_of_lot(lot_id: int) -> Response:
    """Show the shipments that a lot's pieces left with, and what came back, for the lot's own page."""
    left, back = queries.left_of_lot(db.session, lot_id), queries.returns_of_lot(db.session, lot_id)
    return render("shipping/_left.html", left=left, returns=back)


@bp.get("/shipments/of-order/<int:order_id>")
@allowed(*EVERYONE)
def left_of_order(order_id: int) -> Response:
    """Show the shipments of an order and whether they left in time, for the order's own page."""
    left, kept = queries.left_of_order(db.session, order_id), queries.on_time_of_order(db.session, order_id)
    return render("shipping/_left.html", left=left, kept=kept)


@bp.get("/shipments/on-time/<int:customer_id>")
@allowed(*EVERYONE)
def on_time(customer_id: int) -> Response:
    """Show how many of a customer's deliveries left in time, for the customer's own page."""
    get_customer(db.session, customer_id)
    return render("shipping/_on_time.html", kept=queries.on_time_of_customer(db.session, customer_id))


def _form_page(form: ShipmentForm, customer_id: int, status: int = 200) -> Response:
    form.customer_id.data = customer_id
    rows = form.rows()
    cargo = queries.load_cargo(
        db.session, (row.delivery_id.data or 0 for row in rows), (row.lot_id.data or 0 for row in rows)
    )
    return render(
        "shipping/new.html",
        fragment="shipping/_reckoning.html",
        status=status,
        form=form,
        customer=get_customer(db.session, customer_id),
        cargo=cargo,
        leavings=_reckoned(form, cargo),
        today=shop_today(db.session, current_time()),
    )


def _reckoned(form: ShipmentForm, cargo: Cargo) -> list[Leaving]:
    """Return what the typed rows would do to each delivery."""
    leaving: Counter[int] = Counter()
    for row in form.rows():
        leaving[row.delivery_id.data or 0] += row.leaving
    return [Leaving(each, leaving[key], each.shipped) for key, each in cargo.deliveries.items() if leaving[key]]


def _shipment_page(shipment_id: int, form: TakeBackForm, status: int = 200) -> Response:
    kept = queries.get_shipment(db.session, shipment_id)
    today = shop_today(db.session, current_time())
    return render(
        "shipping/shipment.html",
        status=status,
        shipment=kept,
        leavings=queries.leavings(db.session, kept),
        returns=queries.returns_of_shipment(db.session, shipment_id),
        form=form,
        may_take_back=shop_today(db.session, kept.recorded_at) == today and kept.taken_back_at is None,
    )
