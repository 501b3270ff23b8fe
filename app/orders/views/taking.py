"""Taking an order on one page, and the fragments that make its form quicker."""

from urllib.parse import urlencode

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.orders import queries, services
from app.orders.forms import AskedPromise, OrderForm
from app.orders.forms.lines import line_as_typed
from app.orders.forms.orders import repeated
from app.orders.forms.promises import target_of, why_no_promise
from app.orders.queries import Repeat
from app.orders.views.blueprint import bp
from app.people.models import OFFICE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.fields import one_line
from app.shared.web import render, see_other
from app.shared.words import local


@bp.get("/orders/new")
@allowed(Role.OWNER)
def new_order() -> Response:
    """Ask for an order; ``?like=`` an order or ``?part=`` fills the form in to order the same again."""
    repeat = _asked_repeat()
    data = {"received_on": local(current_time()).date(), "customer": one_line(request.args.get("customer"))}
    return _order_form(OrderForm(data=data | (repeated(repeat) if repeat else {})), repeat=repeat)


def _asked_repeat() -> Repeat | None:
    like = request.args.get("like", type=int)
    part = request.args.get("part", type=int)
    if like is not None:
        return queries.repeat_of_order(db.session, like)
    return None if part is None else queries.repeat_of_part(db.session, part)


@bp.post("/orders")
@allowed(Role.OWNER)
def add_order() -> Response:
    """Keep an order, or show the form again with what is wrong beside each field."""
    form = OrderForm()
    if not form.validate():
        return _order_form(form, status=422)
    try:
        order = services.add_order(db.session, form.to_input(), sign_in.person, current_time())
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_problem(problem)
        return _order_form(form, status=422)
    if request.form.get("then") == "release":
        return see_other("/lots/new?" + urlencode({"delivery": order.lines[0].deliveries[0].id}))
    return see_other(url_for("orders.order", order_id=order.id))


@bp.post("/orders/new/rows")
@allowed(Role.OWNER)
def change_rows() -> Response:
    """Show the order form with a row more or less; nothing is kept."""
    form = OrderForm()
    return _order_form(form, focus=form.change_rows(request.form))


def _order_form(form: OrderForm, *, repeat: Repeat | None = None, focus: str = "", status: int = 200) -> Response:
    parts = queries.find_parts(db.session, form.part_numbers())
    form.offer_revisions(parts)
    return render(
        "orders/new.html",
        fragment="orders/_order_form.html",
        form=form,
        parts=parts,
        repeat=repeat,
        focus=focus or ("their_number" if form.customer.data else "customer"),
        customers=queries.active_customers(db.session),
        suggested=queries.suggest_parts(db.session, ""),
        status=status,
    )


@bp.get("/orders/new/parts")
@allowed(*OFFICE)
def suggested_parts() -> Response:
    """Suggest parts for what is typed in the first argument whose name ends in ``part``, as the list named ``list``."""
    typed = next((value for name, value in request.args.items() if name.endswith("part")), "")
    found = queries.suggest_parts(db.session, one_line(typed))
    return render("orders/_part_numbers.html", suggested=found, list_id=request.args.get("list", "part-numbers"))


@bp.get("/orders/new/part")
@allowed(*OFFICE)
def typed_part() -> Response:
    """Show which part the line named by ``?row=`` asks for, and the revisions to choose from."""
    line = line_as_typed(request.args)
    parts = queries.find_parts(db.session, [line.part.data] if line.part.data else [])
    line.offer_revisions(parts)
    return render("orders/_line_part.html", line=line, parts=parts)


@bp.get("/orders/new/promise")
@allowed(*OFFICE)
def promise() -> Response:
    """Lead on to the schedule's promise for a row as it is typed; until it is complete, say what is missing."""
    asked = AskedPromise.from_arguments(request.args)
    part = asked and queries.find_parts(db.session, [asked.part]).find(asked.part)
    revision = asked and part and part.revision(asked.revision)
    if not asked or not revision:
        why = why_no_promise(request.args)
        return render("orders/_no_promise.html", target=target_of(request.args), why=why)
    wanted = {
        "revision_id": revision.id,
        "quantity": asked.quantity,
        "due": queries.leave_day(db.session, asked.customer, asked.due).isoformat(),
        "target": asked.target,
    }
    return see_other("/schedule/promise?" + urlencode(wanted))
