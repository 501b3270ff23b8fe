"""The list of orders, one order, and changing what is said about it as a whole."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.orders import queries, services
from app.orders.forms import OrderHeadForm
from app.orders.queries import Shown
from app.orders.views.blueprint import bp
from app.people.models import EVERYONE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.fields import one_line
from app.shared.web import render, see_other, typed_page
from app.shared.words import local


@bp.get("/orders")
@allowed(*EVERYONE)
def orders() -> Response:
    """Show deliveries with their orders: open ones first, or all that a search finds."""
    text = one_line(request.args.get("q"))
    shown = Shown.ALL if request.args.get("show") == Shown.ALL else Shown.OPEN
    return render(
        "orders/orders.html",
        text=text,
        shown=shown,
        found=queries.deliveries_page(db.session, text, shown, typed_page()),
        any_orders=queries.any_orders(db.session),
        today=local(current_time()).date(),
    )


@bp.get("/orders/<int:order_id>")
@allowed(*EVERYONE)
def order(order_id: int) -> Response:
    """Show one order with its lines and deliveries."""
    return order_page(order_id)


def order_page(order_id: int, refusal: str = "", status: int = 200) -> Response:
    """Show one order; ``refusal`` says why something asked of it was not done."""
    kept = queries.get_order(db.session, order_id)
    return render(
        "orders/order.html",
        order=kept,
        without_routing=queries.revisions_without_routing(db.session, (line.revision_id for line in kept.lines)),
        refusal=refusal,
        today=local(current_time()).date(),
        status=status,
    )


@bp.get("/orders/<int:order_id>/edit")
@allowed(Role.OWNER)
def edit_order(order_id: int) -> Response:
    """Ask for changes to an order's number, received date and note."""
    kept = queries.get_order(db.session, order_id)
    form = OrderHeadForm(data={"their_number": kept.their_number, "received_on": kept.received_on, "note": kept.note})
    return render("orders/order_head.html", form=form, order=kept)


@bp.post("/orders/<int:order_id>")
@allowed(Role.OWNER)
def change_order(order_id: int) -> Response:
    """Change an order's number, received date and note, or show the form again with what is wrong."""
    form = OrderHeadForm()
    if form.validate():
        try:
            services.change_order(db.session, order_id, form.to_input(), current_time())
            return see_other(url_for("orders.order", order_id=order_id))
        except RefusedError as refused:
            for problem in refused.problems:
                form.put_error(problem.place, problem.error)
    return render("orders/order_head.html", form=form, order=queries.get_order(db.session, order_id), status=422)
