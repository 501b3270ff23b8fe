"""Import parts and routings: choose a table, see what it would do, confirm."""

from flask import flash, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts import queries, services
from app.parts.views.blueprint import bp
from app.people.models import OFFICE
from app.shared.clock import current_time
from app.shared.sheet_forms import ConfirmImportForm, ImportForm
from app.shared.sheets import ImportRefusedError, Sheet, SheetError, csv_file, pack
from app.shared.web import render, see_other
from app.shared.words import ngettext
from app.stations import queries as station_queries


@bp.get("/parts/import")
@allowed(*OFFICE)
def new_import() -> Response:
    """Ask for a table of parts, and say what its columns hold."""
    return _import_page(ImportForm())


@bp.get("/parts/import/template.csv")
@allowed(*OFFICE)
def import_template() -> Response:
    """Send an example of the table to fill in."""
    sent = Response(csv_file(services.COLUMNS, services.EXAMPLE_ROWS), mimetype="text/csv; charset=utf-8")
    sent.headers.set("Content-Disposition", "attachment", filename="parts.csv")
    return sent


@bp.post("/parts/import")
@allowed(*OFFICE)
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


@bp.post("/parts/import/confirm")
@allowed(*OFFICE)
def confirm_import() -> Response:
    """Store a previewed table whole, or show what is wrong with it by now."""
    try:
        table = ConfirmImportForm().to_sheet()
    except SheetError as error:
        form = ImportForm(formdata=None)
        form.put_error("file", error)
        return _import_page(form, status=422)
    try:
        done = services.import_parts(db.session, table, by=sign_in.person, now=current_time())
    except ImportRefusedError:
        return _preview_page(table, status=422)
    flash(
        ngettext(
            "%(num)d revision of the table is stored.", "%(num)d revisions of the table are stored.", len(done.lines)
        ),
        "note",
    )
    return see_other(url_for("parts.parts"))


def _preview_page(table: Sheet, status: int = 200) -> Response:
    packed = pack(table)
    preview = services.preview_parts(db.session, table)
    return render("parts/import_preview.html", preview=preview, packed=packed, status=status)


def _import_page(form: ImportForm, status: int = 200) -> Response:
    return render(
        "parts/import.html",
        form=form,
        columns=services.column_helps(),
        kinds=queries.all_kinds(db.session),
        work_centers=station_queries.work_centers(db.session),
        status=status,
    )
