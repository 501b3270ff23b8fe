"""Pages about customers."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.orders import queries, services
from app.orders.errors import CustomerNameTakenError
from app.orders.forms import CustomerForm
from app.orders.models import Customer
from app.orders.views.blueprint import bp
from app.people.models import EVERYONE, Role
from app.shared.fields import one_line
from app.shared.web import render, see_other, typed_page


@bp.get("/customers")
@allowed(*EVERYONE)
def customers() -> Response:
    """Show the customers, active ones first."""
    text = one_line(request.args.get("q"))
    return render("orders/customers.html", text=text, found=queries.customers_page(db.session, text, typed_page()))


@bp.get("/customers/new")
@allowed(Role.OWNER)
def new_customer() -> Response:
    """Ask for a new customer."""
    return _customer_page(CustomerForm(data={"transit_days": 0, "name": one_line(request.args.get("name"))}), None)


@bp.post("/customers")
@allowed(Role.OWNER)
def add_customer() -> Response:
    """Add a customer, or show the form again with what is wrong."""
    form = CustomerForm()
    if not form.validate():
        return _customer_page(form, None, status=422)
    try:
        services.add_customer(db.session, form.to_input())
    except CustomerNameTakenError as error:
        form.put_error("name", error)
        return _customer_page(form, None, status=422)
    return see_other(url_for("orders.customers"))


@bp.get("/customers/<int:customer_id>")
@allowed(*EVERYONE)
def customer(customer_id: int) -> Response:
    """Show one customer and what is open for them."""
    return render(
        "orders/customer.html",
        customer=queries.get_customer(db.session, customer_id),
        deliveries=queries.open_deliveries_of_customer(db.session, customer_id),
    )


@bp.get("/customers/<int:customer_id>/edit")
@allowed(Role.OWNER)
def edit_customer(customer_id: int) -> Response:
    """Ask for changes to a customer."""
    kept = queries.get_customer(db.session, customer_id)
    form = CustomerForm(
        data={
            "name": kept.name,
            "address": kept.address,
            "due_means": kept.due_means.value,
            "transit_days": kept.transit_days,
            "weight": kept.weight,
            "active": kept.active,
        }
    )
    return _customer_page(form, kept)


@bp.post("/customers/<int:customer_id>")
@allowed(Role.OWNER)
def change_customer(customer_id: int) -> Response:
    """Change a customer, or show the form again with what is wrong."""
    form = CustomerForm()
    if not form.validate():
        return _customer_page(form, queries.get_customer(db.session, customer_id), status=422)
    try:
        services.change_customer(db.session, customer_id, form.to_input())
    except CustomerNameTakenError as error:
        form.put_error("name", error)
        return _customer_page(form, queries.get_customer(db.session, customer_id), status=422)
    return see_other(url_for("orders.customer", customer_id=customer_id))


def _customer_page(form: CustomerForm, kept: Customer | None, status: int = 200) -> Response:
    return render("orders/customer_form.html", form=form, kept=kept, status=status)
