"""A question about the past, its answer on one page, and the file of it."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE
from app.shared.clock import current_time
from app.shared.sheets.texts import csv_file
from app.shared.web import render, see_other
from app.shared.words import gettext, local
from app.trace import queries
from app.trace.errors import TooManyLotsError
from app.trace.forms import AskForm, DaysForm
from app.trace.queries import Kind, Subject
from app.trace.views.blueprint import bp

ONE = "/trace/<any(lot, heat, receipt, shipment, day, delivery, gauge, person, station):kind>/<int:subject_id>"


@bp.get("/trace")
@allowed(*EVERYONE)
def ask() -> Response:
    """Ask what to begin from; what fits alone leads straight to its answer."""
    form = AskForm()
    if not form.asked:
        return render("trace/ask.html", form=form, found=[])
    found: list[Subject] = []
    if form.validate():
        found = queries.find_subjects(db.session, form.of.data, form.which.data or "")
        if not found:
            form.put_error("which", gettext("Nothing fits. Look at the spelling, or try fewer letters."))
    if len(found) == 1:
        return see_other(url_for("trace.answer", kind=found[0].kind.value, subject_id=found[0].key))
    return render("trace/ask.html", form=form, found=found, status=422 if form.errors else 200)


@bp.get(ONE)
@allowed(*EVERYONE)
def answer(kind: str, subject_id: int) -> Response:
    """Show all that is on record forward and back from one thing; a list that goes on has pages of its own."""
    subject = queries.get_subject(db.session, Kind(kind), subject_id)
    form = DaysForm(local(current_time()).date())
    if not form.validate():
        return _answer_page(subject, form, status=422)
    only, after = request.args.get("only", ""), request.args.get("after", type=int)
    try:
        found = queries.trace(db.session, subject, queries.days_between(db.session, *form.to_days()), only, after)
    except TooManyLotsError as refused:
        form.put_error("since", refused)
        return _answer_page(subject, form, status=422)
    return _answer_page(subject, form, found=found, only=only)


@bp.get(f"{ONE}/file")
@allowed(*EVERYONE)
def export(kind: str, subject_id: int) -> Response:
    """Send the whole answer as one table."""
    subject = queries.get_subject(db.session, Kind(kind), subject_id)
    form = DaysForm(local(current_time()).date())
    if not form.validate():
        return _answer_page(subject, form, status=422)
    headings, lines = queries.export_lines(db.session, subject, queries.days_between(db.session, *form.to_days()))
    sent = Response(csv_file(headings, lines), mimetype="text/csv; charset=utf-8")
    sent.headers.set("Content-Disposition", "attachment", filename=f"trace-{kind}-{subject_id}.csv")
    return sent


def _answer_page(
    subject: Subject, form: DaysForm, found: queries.Trace | None = None, only: str = "", status: int = 200
) -> Response:
    return render(
        "trace/answer.html",
        status=status,
        subject=subject,
        form=form,
        found=found,
        only=only,
        headings=queries.HEADINGS,
    )
