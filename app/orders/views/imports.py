"""Import orders: choose a table, see what it would do, confirm."""

from flask import flash, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.orders import services
from app.orders.views.blueprint import bp
from app.people.models import Role
from app.shared.clock import current_time
from app.shared.sheet_forms import ConfirmImportForm, ImportForm
from app.shared.sheets import ImportRefusedError, Sheet, SheetError, csv_file, pack
from app.shared.web import render, see_other
from app.shared.words import gettext


@bp.get("/orders/import")
@allowed(Role.OWNER)
def new_import() -> Response:
    """Ask for a table of orders, and say what its columns hold."""
    return _import_page(ImportForm())


@bp.get("/orders/import/template.csv")
@allowed(Role.OWNER)
def import_template() -> Response:
    """Send an example of the table to fill in."""
    sent = Response(csv_file(services.COLUMNS, services.EXAMPLE_ROWS), mimetype="text/csv; charset=utf-8")
    sent.headers.set("Content-Disposition", "attachment", filename="orders.csv")
    return sent


@bp.post("/orders/import")
@allowed(Role.OWNER)
def preview_import() -> Response:
    """Show what a table would do and what is wrong with it; nothing is stored."""
    form = ImportForm()
    if not form.validate():
        return _import_page(form, status=422)
    try:
        return _preview_page(form.to_sheet())
    except SheetError as error:
        form.put_error("file", error)
        return _import_page(form, status=422)


@bp.post("/orders/import/confirm")
@allowed(Role.OWNER)
def confirm_import() -> Response:
    """Store a previewed table whole, or show what is wrong with it by now."""
    try:
        table = ConfirmImportForm().to_sheet()
    except SheetError as error:
        form = ImportForm(formdata=None)
        form.put_error("file", error)
        return _import_page(form, status=422)
    try:
        done = services.import_orders(db.session, table, sign_in.person, current_time())
    except ImportRefusedError:
        return _preview_page(table, status=422)
    flash(gettext("Imported: %(what)s.", what=str(done)), "note")
    return see_other(url_for("orders.orders"))


def _preview_page(table: Sheet, status: int = 200) -> Response:
    preview = services.preview_orders(db.session, table, current_time())
    return render("orders/import_preview.html", preview=preview, packed=pack(table), status=status)


def _import_page(form: ImportForm, status: int = 200) -> Response:
    return render("orders/import.html", form=form, columns=services.column_helps(), status=status)
