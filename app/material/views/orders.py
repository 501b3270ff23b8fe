"""Pages of purchases: the list, one of them, and receiving what comes in."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.material import queries, services
from app.material.errors import LineCompleteError
from app.material.forms import ReceiptForm
from app.material.models import MaterialOrderLine
from app.material.queries import Shown
from app.material.views.blueprint import bp
from app.people.models import EVERYONE, OFFICE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.fields import one_line
from app.shared.web import render, see_other, typed_page
from app.shared.words import gettext, local


@bp.get("/material-orders")
@allowed(*EVERYONE)
def material_orders() -> Response:
    """Show what was ordered: open lines first, or all that a search finds."""
    text = one_line(request.args.get("q"))
    shown = Shown.ALL if request.args.get("show") == Shown.ALL else Shown.OPEN
    return render(
        "material/orders.html",
        text=text,
        shown=shown,
        found=queries.lines_page(db.session, text, shown, typed_page()),
        any_lines=queries.any_lines(db.session),
        today=local(current_time()).date(),
    )


@bp.get("/material-orders/<int:order_id>")
@allowed(*EVERYONE)
def material_order(order_id: int) -> Response:
    """Show one purchase with its lines and receipts."""
    return _order_page(order_id)


def _order_page(order_id: int, refusal: str = "", status: int = 200) -> Response:
    return render(
        "material/order.html",
        order=queries.get_material_order(db.session, order_id),
        refusal=refusal,
        today=local(current_time()).date(),
        status=status,
    )


@bp.post("/material-orders/lines/<int:line_id>/close")
@allowed(Role.OWNER)
def close_line(line_id: int) -> Response:
    """Expect nothing more on a line."""
    line = services.close_line(db.session, line_id, current_time())
    return see_other(url_for("material.material_order", order_id=line.order_id))


@bp.post("/material-orders/lines/<int:line_id>/reopen")
@allowed(Role.OWNER)
def reopen_line(line_id: int) -> Response:
    """Expect the rest of a line again."""
    order_id = queries.get_material_line(db.session, line_id).order_id
    try:
        services.reopen_line(db.session, line_id)
    except LineCompleteError as refusal:
        return _order_page(order_id, str(refusal), status=422)
    return see_other(url_for("material.material_order", order_id=order_id))


@bp.get("/material-orders/lines/<int:line_id>/receipts/new")
@allowed(*OFFICE)
def new_receipt(line_id: int) -> Response:
    """Ask for what came in of a line."""
    line = queries.get_material_line(db.session, line_id)
    data = {"pieces": line.still_expected or None, "received_on": local(current_time()).date()}
    return _receive_page(ReceiptForm(data=data), line)


@bp.post("/material-orders/lines/<int:line_id>/receipts")
@allowed(*OFFICE)
def receive(line_id: int) -> Response:
    """Record what came in of a line and go on to issue it to lots, or show the form again with what is wrong."""
    form = ReceiptForm()
    if not form.validate():
        return _receive_page(form, queries.get_material_line(db.session, line_id), status=422)
    try:
        receipt = services.receive(db.session, form.to_input(line_id), sign_in.person, current_time())
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_error(problem.place, problem.error)
        return _receive_page(form, queries.get_material_line(db.session, line_id), status=422)
    _say_how_it_stands(queries.get_material_line(db.session, line_id))
    return see_other(f"/purchasing/receipts/{receipt.id}/issues")


def _say_how_it_stands(line: MaterialOrderLine) -> None:
    """Say plainly after a receipt when more came in than was ordered, or what is still to come."""
    counts = {"accepted": f"{line.accepted:,}", "ordered": f"{line.pieces:,}"}
    over = line.accepted - line.pieces
    if over > 0:
        more = gettext("%(accepted)s came in for %(ordered)s ordered: %(over)s more.", over=f"{over:,}", **counts)
        flash(more, "warning")
    elif line.still_expected:
        flash(gettext("%(left)s of %(ordered)s are still to come.", left=f"{line.still_expected:,}", **counts), "note")


def _receive_page(form: ReceiptForm, line: MaterialOrderLine, status: int = 200) -> Response:
    return render("material/receive.html", form=form, line=line, status=status)
