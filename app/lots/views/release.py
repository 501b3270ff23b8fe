"""Releasing a lot."""

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots import queries, services
from app.lots.errors import LargestStartError, LedgerError
from app.lots.forms import ReleaseForm, ShareForm
from app.lots.queries import Proposal, ReleaseSubject
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.orders import queries as order_queries
from app.people.models import OFFICE
from app.shared.web import render, see_other
from app.shared.words import gettext


@bp.get("/lots/new")
@allowed(*OFFICE)
def new_lot() -> Response:
    """Offer a release: for a delivery (``?delivery=``) or for stock of a revision (``?revision=``)."""
    delivery_id = request.args.get("delivery", type=int)
    if delivery_id is not None:
        revision_id = order_queries.get_delivery(db.session, delivery_id).line.revision_id
    else:
        revision_id = request.args.get("revision", 0, type=int)
    subject = queries.release_subject(db.session, revision_id)
    form = ReleaseForm(data={"revision_id": revision_id, "issue_blanks": True, "shares": _rows(subject, delivery_id)})
    form.needed.data = sum(share.quantity for share in form.chosen_shares())
    proposal = _proposal(subject, form)
    form.to_start.data = proposal.to_start if proposal else None
    return _page(subject, form, proposal)


def _rows(subject: ReleaseSubject, delivery_id: int | None) -> list[dict[str, object]]:
    return [
        {
            "delivery_id": each.delivery.id,
            "chosen": each.delivery.id == delivery_id,
            "quantity": each.uncovered or (each.delivery.quantity if each.delivery.id == delivery_id else None),
        }
        for each in subject.deliveries
        if each.uncovered or each.delivery.id == delivery_id
    ]


def _proposal(subject: ReleaseSubject, form: ReleaseForm, to_start: int | None = None) -> Proposal | None:
    """Return the start, or None with what is wrong beside its field where none can be worked out."""
    if subject.routing is None or form.needed.data is None:
        return None
    try:
        return queries.propose_start(db.session, subject.routing, form.needed.data, to_start=to_start)
    except LargestStartError as error:
        form.put_error("needed" if to_start is None else "to_start", error)
        return None


def _page(subject: ReleaseSubject, form: ReleaseForm, proposal: Proposal | None, status: int = 200) -> Response:
    known = {str(each.delivery.id): each for each in subject.deliveries}
    rows = [(known[row], share) for share in form.shares if (row := str(share.form.delivery_id.data)) in known]
    return render(
        "lots/new.html",
        status=status,
        subject=subject,
        form=form,
        proposal=proposal,
        rows=rows,
        percent=queries.shown_percent,
    )


@bp.post("/lots")
@allowed(*OFFICE)
def add_lot() -> Response:
    """Release a lot, or show the form again: worked out anew, or with what is wrong."""
    form = ReleaseForm()
    subject = queries.release_subject(db.session, form.revision_id.data or 0)
    if not form.validate() or not _shares_are_whole(form):
        return _page(subject, form, _proposal(subject, form), 422)
    if request.form.get("then") == "again":
        return _worked_out(subject, form)
    proposal = _proposal(subject, form, form.to_start.data)
    if form.errors:
        return _page(subject, form, None, 422)
    try:
        to_start = form.to_start.data or (proposal.to_start if proposal else 0)
        reason = proposal.reason if proposal else ""
        lot = services.release_lot(db.session, office_act(form), form.to_input(to_start, reason))
    except LedgerError as error:
        form.put_error("to_start", error)
        return _page(subject, form, None, 422)
    flash(gettext("Lot %(lot)s is released.", lot=queries.lot_name(lot)), "note")
    if request.form.get("then") == "print":
        services.note_print(db.session, office_act(form), lot.id)
        return see_other(url_for("lots.traveler", lot_id=lot.id, now=1))
    return see_other(url_for("lots.lot", lot_id=lot.id))


def _worked_out(subject: ReleaseSubject, form: ReleaseForm) -> Response:
    """Show the form with the start that the chosen deliveries, or the typed need, ask for."""
    chosen = sum(share.quantity for share in form.chosen_shares())
    if chosen:
        form.needed.data, form.needed.raw_data = chosen, None
    proposal = _proposal(subject, form)
    form.to_start.data, form.to_start.raw_data = (proposal.to_start if proposal else None), None
    return _page(subject, form, proposal, 422 if form.errors else 200)


def _shares_are_whole(form: ReleaseForm) -> bool:
    whole = True
    for row in form.shares:
        share = row.form
        assert isinstance(share, ShareForm)  # noqa: S101 - for the type checker
        if share.chosen.data and not share.quantity.data:
            share.put_error("quantity", gettext("Type how many pieces of this delivery the lot is for"))
            whole = False
    return whole
