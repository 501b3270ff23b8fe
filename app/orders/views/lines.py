"""Adding a line to a kept order, changing its terms, and removing it."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.orders import queries, services
from app.orders.errors import BelowCalledOffError, DeliveryInUseError, LastRowError
from app.orders.forms import AddLineForm, LineTermsForm
from app.orders.views.blueprint import bp
from app.orders.views.orders import order_page
from app.people.models import Role
from app.shared.clock import current_time
from app.shared.errors import Problem, RefusedError
from app.shared.web import render, see_other


@bp.get("/orders/<int:order_id>/lines/new")
@allowed(Role.OWNER)
def new_line(order_id: int) -> Response:
    """Ask for one more line."""
    return _line_form(order_id, AddLineForm())


@bp.post("/orders/<int:order_id>/lines")
@allowed(Role.OWNER)
def add_line(order_id: int) -> Response:
    """Add a line, or show the form again with what is wrong."""
    form = AddLineForm()
    if not form.validate():
        return _line_form(order_id, form, status=422)
    try:
        services.add_line(
            db.session,
            order_id,
            form.new_lines()[0],
            sign_in.person,
            current_time(),
            far_dates_meant=bool(form.far_dates_meant.data),
        )
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_problem(Problem(f"lines-0-{problem.place}", problem.error))
        return _line_form(order_id, form, status=422)
    return see_other(url_for("orders.order", order_id=order_id))


@bp.post("/orders/<int:order_id>/lines/new/rows")
@allowed(Role.OWNER)
def change_line_rows(order_id: int) -> Response:
    """Show the form of a new line with a delivery more or less; nothing is kept."""
    form = AddLineForm()
    return _line_form(order_id, form, focus=form.change_rows(request.form))


def _line_form(order_id: int, form: AddLineForm, *, focus: str = "lines-0-part", status: int = 200) -> Response:
    parts = queries.find_parts(db.session, form.part_numbers())
    form.offer_revisions(parts)
    return render(
        "orders/new_line.html",
        fragment="orders/_new_line_form.html",
        form=form,
        parts=parts,
        focus=focus,
        order=queries.get_order(db.session, order_id),
        suggested=queries.suggest_parts(db.session, ""),
        status=status,
    )


@bp.get("/orders/lines/<int:line_id>/edit")
@allowed(Role.OWNER)
def edit_line(line_id: int) -> Response:
    """Ask for a line's price, whether it is a rush, and whether it is a standing order."""
    line = queries.get_line(db.session, line_id)
    terms = {"price": line.price, "rush": line.rush, "standing_quantity": line.standing_quantity}
    return render("orders/line.html", form=LineTermsForm(data=terms), line=line)


@bp.post("/orders/lines/<int:line_id>")
@allowed(Role.OWNER)
def change_line(line_id: int) -> Response:
    """Change a line's price, whether it is a rush, or the total of its standing order."""
    form = LineTermsForm()
    if form.validate():
        try:
            line = services.change_line(db.session, line_id, form.to_input(), sign_in.person, current_time())
            return see_other(url_for("orders.order", order_id=line.order_id))
        except BelowCalledOffError as refused:
            form.put_error("standing_quantity", refused)
    return render("orders/line.html", form=form, line=queries.get_line(db.session, line_id), status=422)


@bp.post("/orders/lines/<int:line_id>/remove")
@allowed(Role.OWNER)
def remove_line(line_id: int) -> Response:
    """Remove a line for which nothing was done yet."""
    order_id = queries.get_line(db.session, line_id).order_id
    try:
        services.remove_line(db.session, line_id)
    except (LastRowError, DeliveryInUseError) as refusal:
        return order_page(order_id, str(refusal), status=422)
    return see_other(url_for("orders.order", order_id=order_id))
