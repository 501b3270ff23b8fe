"""Pages about vendors."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.material import queries, services
from app.material.errors import VendorNameTakenError
from app.material.forms import VendorForm
from app.material.models import Vendor
from app.material.views.blueprint import bp
from app.people.models import EVERYONE, Role
from app.shared.fields import one_line
from app.shared.web import render, see_other, typed_page


@bp.get("/vendors")
@allowed(*EVERYONE)
def vendors() -> Response:
    """Show the vendors and how late they usually are."""
    text = one_line(request.args.get("q"))
    found = queries.vendors_page(db.session, text, typed_page())
    delays = queries.usual_delays(db.session, (vendor.id for vendor in found.rows))
    return render("material/vendors.html", text=text, found=found, delays=delays)


@bp.get("/vendors/new")
@allowed(Role.OWNER)
def new_vendor() -> Response:
    """Ask for a new vendor."""
    return _vendor_form(VendorForm(), None)


@bp.post("/vendors")
@allowed(Role.OWNER)
def add_vendor() -> Response:
    """Add a vendor, or show the form again with what is wrong."""
    form = VendorForm()
    if not form.validate():
        return _vendor_form(form, None, status=422)
    try:
        vendor = services.add_vendor(db.session, form.to_input())
    except VendorNameTakenError as error:
        form.put_error("name", error)
        return _vendor_form(form, None, status=422)
    return see_other(url_for("material.vendor", vendor_id=vendor.id))


@bp.get("/vendors/<int:vendor_id>")
@allowed(*EVERYONE)
def vendor(vendor_id: int) -> Response:
    """Show one vendor and what is expected from them."""
    kept = queries.get_vendor(db.session, vendor_id)
    return render(
        "material/vendor.html",
        vendor=kept,
        delay=queries.usual_delays(db.session, [vendor_id])[vendor_id],
        lines=queries.open_lines_of_vendor(db.session, vendor_id),
    )


@bp.get("/vendors/<int:vendor_id>/edit")
@allowed(Role.OWNER)
def edit_vendor(vendor_id: int) -> Response:
    """Ask for changes to a vendor."""
    kept = queries.get_vendor(db.session, vendor_id)
    return _vendor_form(VendorForm(data={"name": kept.name, "contact": kept.contact, "active": kept.active}), kept)


@bp.post("/vendors/<int:vendor_id>")
@allowed(Role.OWNER)
def change_vendor(vendor_id: int) -> Response:
    """Change a vendor, or show the form again with what is wrong."""
    form = VendorForm()
    if not form.validate():
        return _vendor_form(form, queries.get_vendor(db.session, vendor_id), status=422)
    try:
        services.change_vendor(db.session, vendor_id, form.to_input())
    except VendorNameTakenError as error:
        form.put_error("name", error)
        return _vendor_form(form, queries.get_vendor(db.session, vendor_id), status=422)
    return see_other(url_for("material.vendor", vendor_id=vendor_id))


def _vendor_form(form: VendorForm, kept: Vendor | None, status: int = 200) -> Response:
    return render("material/vendor_form.html", form=form, kept=kept, status=status)
