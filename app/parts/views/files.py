"""Drawings and set-up sheets of an operation, and their pages as any tablet shows them."""

import io

from flask import request, send_file, url_for
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.wrappers import Response

from app.extensions import allowed, db, open_to_all
from app.parts import queries, services
from app.parts.errors import FileRefusedError, FileTooLargeError
from app.parts.forms import FileForm, TitleForm
from app.parts.queries import StoredContent
from app.parts.views.blueprint import bp
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.web import render, see_other
from app.shared.words import gettext

A_YEAR = 365 * 24 * 3600


@bp.get("/parts/operations/<int:operation_id>/files")
@allowed(*EVERYONE)
def files(operation_id: int) -> Response:
    """Show the drawings and set-up sheets of an operation, and ask for more."""
    return _files_page(operation_id, FileForm())


@bp.post("/parts/operations/<int:operation_id>/files")
@allowed(*OFFICE)
def add_file(operation_id: int) -> Response:
    """Add a drawing or set-up sheet, or show the form again with what is wrong."""
    try:
        form = FileForm()
    except RequestEntityTooLarge:
        form = FileForm(formdata=None)
        form.put_error("file", FileTooLargeError(gettext("20 MB")))
        return _files_page(operation_id, form, status=422)
    if not form.validate():
        return _files_page(operation_id, form, status=422)
    try:
        services.add_file(db.session, operation_id, form.to_input(), now=current_time())
    except FileRefusedError as error:
        form.put_error(error.about, error)
        return _files_page(operation_id, form, status=422)
    return see_other(url_for("parts.files", operation_id=operation_id))


@bp.post("/parts/operation-files/<int:file_id>")
@allowed(*OFFICE)
def change_file(file_id: int) -> Response:
    """Give a file another title, or move it up or down."""
    if "up" in request.form or "down" in request.form:
        shown = services.move_file(db.session, file_id, up="up" in request.form)
        return see_other(url_for("parts.files", operation_id=shown.routing_operation_id))
    form = TitleForm(prefix=_title_prefix(file_id))
    shown = queries.get_operation_file(db.session, file_id)
    if not form.validate():
        return _files_page(shown.routing_operation_id, FileForm(formdata=None), wrong=(file_id, form), status=422)
    services.rename_file(db.session, file_id, form.title.data or "")
    return see_other(url_for("parts.files", operation_id=shown.routing_operation_id))


@bp.post("/parts/operation-files/<int:file_id>/remove")
@allowed(*OFFICE)
def remove_file(file_id: int) -> Response:
    """Show a file no longer at its operation."""
    return see_other(url_for("parts.files", operation_id=services.remove_file(db.session, file_id)))


@bp.get("/files/<int:file_id>/pages/<int:number>.png")
@open_to_all
def file_page(file_id: int, number: int) -> Response:
    """Send the picture of a page: station tablets show it, whoever is signed on there."""
    content = queries.file_page(db.session, file_id, number)
    return _sent(content, etag=f"{content.sha256}-{number}", download=False)


@bp.get("/files/<int:file_id>/original")
@allowed(*EVERYONE)
def original_file(file_id: int) -> Response:
    """Send a file as it was uploaded, to be kept, not shown: nothing in it runs here."""
    content = queries.original_file(db.session, file_id)
    return _sent(content, etag=content.sha256, download=True)


def _sent(content: StoredContent, *, etag: str, download: bool) -> Response:
    """Send bytes that never change under their ``?v=`` (the beginning of the file's sha256); without it, ask again."""
    named = request.args.get("v", "")
    response = send_file(
        io.BytesIO(content.data),
        mimetype=content.media_type,
        as_attachment=download,
        download_name=content.name if download else None,
        etag=etag,
        conditional=True,
        max_age=A_YEAR if len(named) >= 12 and content.sha256.startswith(named) else 0,
    )
    response.cache_control.public = False
    response.cache_control.private = True
    response.cache_control.immutable = response.cache_control.max_age == A_YEAR
    return response


def _title_prefix(file_id: int) -> str:
    return f"file-{file_id}-"


def _files_page(
    operation_id: int, form: FileForm, *, wrong: tuple[int, TitleForm] | None = None, status: int = 200
) -> Response:
    operation = queries.get_operation(db.session, operation_id)
    newest = queries.newest_version(db.session, operation.routing.revision_id)
    titles = {
        each.id: wrong[1]
        if wrong and wrong[0] == each.id
        else TitleForm(formdata=None, obj=each, prefix=_title_prefix(each.id))
        for each in operation.files
    }
    return render(
        "parts/files.html",
        operation=operation,
        revision=operation.routing.revision,
        is_newest=operation.routing.version == newest,
        form=form,
        titles=titles,
        status=status,
    )
