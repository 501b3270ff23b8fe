"""Pages of the purchasing area."""

from datetime import date

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.lots.errors import KeyReusedError, LedgerError
from app.lots.services import Act
from app.material import services as material
from app.material.errors import ExpectedBeforeOrderedError, LineClosedError, NotAtHandError, SameDayError
from app.material.queries import active_vendors, get_material_line
from app.orders.queries import shop_today
from app.people.models import EVERYONE, OFFICE, Role
from app.purchasing import queries, services
from app.purchasing.forms import ExpectedForm, IssuesForm, PurchaseForm, proposed, proposed_shares
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import KeyedForm, render, see_other
from app.shared.words import ngettext

bp = Blueprint("purchasing", __name__)


@bp.get("/purchasing")
@allowed(*EVERYONE)
def to_order() -> Response:
    """Show what to order, what has come in and is not issued, and what is on order."""
    today = shop_today(db.session, current_time())
    return render("purchasing/to_order.html", page=queries.buying_page(db.session, today), today=today)


@bp.get("/purchasing/orders/new")
@allowed(Role.OWNER)
def new_order() -> Response:
    """Ask for a purchase of blanks (``?revision=``) and components (``?part=``), filled with what lots wait for."""
    today = shop_today(db.session, current_time())
    asked = [queries.Key(revision_id=each) for each in request.args.getlist("revision", type=int)]
    asked += [queries.Key(part_id=each) for each in request.args.getlist("part", type=int)]
    return _order_page(PurchaseForm(data=proposed(queries.proposed_order(db.session, asked, today))))


@bp.post("/purchasing/orders")
@allowed(Role.OWNER)
def add_order() -> Response:
    """Record a purchase, or show the form again with what is wrong beside each field."""
    form = PurchaseForm()
    if not form.validate():
        return _order_page(form, status=422)
    try:
        order = services.order_material(db.session, _act(form), form.to_input())
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_problem(problem)
        return _order_page(form, status=422)
    except KeyReusedError as refused:
        form.form_errors.append(str(refused))
        return _order_page(form, status=422)
    return see_other(url_for("material.material_order", order_id=order.id))


def _order_page(form: PurchaseForm, status: int = 200) -> Response:
    return render(
        "purchasing/order.html",
        form=form,
        named=queries.named_rows(db.session, form.articles(), form.lot_ids()),
        vendors=active_vendors(db.session),
        status=status,
    )


@bp.get("/purchasing/lines/<int:line_id>/edit")
@allowed(*OFFICE)
def edit_expected(line_id: int) -> Response:
    """Ask for the day on which the rest of a line is expected now; ``?day=`` proposes one."""
    try:
        day = date.fromisoformat(request.args.get("day", ""))
    except ValueError:
        day = None
    return _expected_page(ExpectedForm(data={"expected_on": day}), line_id)


@bp.post("/purchasing/lines/<int:line_id>")
@allowed(*OFFICE)
def move_expected(line_id: int) -> Response:
    """Move the day a line is expected on, or show the form again with what is wrong."""
    form = ExpectedForm()
    if form.validate() and form.expected_on.data:
        day, reason = form.expected_on.data, form.reason.data or ""
        try:
            material.move_expected(db.session, line_id, day, reason, by_id=sign_in.person.id, now=current_time())
            return see_other(url_for("purchasing.to_order"))
        except (SameDayError, ExpectedBeforeOrderedError, LineClosedError) as error:
            form.put_error("expected_on", error)
    return _expected_page(form, line_id, status=422)


def _expected_page(form: ExpectedForm, line_id: int, status: int = 200) -> Response:
    return render(
        "purchasing/expected.html",
        form=form,
        line=get_material_line(db.session, line_id),
        changes=queries.expected_changes(db.session, line_id),
        status=status,
    )


@bp.get("/purchasing/receipts/<int:receipt_id>/issues")
@allowed(*OFFICE)
def new_issues(receipt_id: int) -> Response:
    """Ask which lots get a receipt's pieces, proposing those it was bought for."""
    proposals = queries.issue_proposals(db.session, receipt_id)
    return _issues_page(IssuesForm(data=proposed_shares(proposals.lots)), proposals)


@bp.post("/purchasing/receipts/<int:receipt_id>/issues")
@allowed(*OFFICE)
def add_issues(receipt_id: int) -> Response:
    """Issue a receipt's pieces to lots, or show the form again with what is wrong."""
    form = IssuesForm()
    if form.validate():
        try:
            postings = services.issue_receipt(db.session, _act(form), receipt_id, form.to_input())
        except RefusedError as refused:
            for problem in refused.problems:
                form.put_problem(problem)
        except (LedgerError, NotAtHandError) as refused:
            form.form_errors.append(str(refused))
        else:
            flash(_issued(sum(entry.quantity for each in postings for entry in each.entries)), "note")
            return see_other(url_for("purchasing.to_order"))
    return _issues_page(form, queries.issue_proposals(db.session, receipt_id), status=422)


@bp.get("/purchasing/orders/<int:order_id>/lots")
@allowed(*EVERYONE)
def served_by_order(order_id: int) -> Response:
    """Show the lots that a purchase was made for, for its own page."""
    return render("purchasing/_served.html", served=queries.served_by_order(db.session, order_id))


@bp.get("/purchasing/receipts/<int:receipt_id>/lots")
@allowed(*EVERYONE)
def served_by_receipt(receipt_id: int) -> Response:
    """Show the lots that hold pieces of a receipt, for its own page."""
    return render("purchasing/_served.html", served=queries.served_by_receipt(db.session, receipt_id))


def _issued(pieces: int) -> str:
    return ngettext("%(num)d blank issued: it may begin.", "%(num)d blanks issued: they may begin.", pieces)


def _issues_page(form: IssuesForm, proposals: queries.Proposals, status: int = 200) -> Response:
    return render(
        "purchasing/issues.html",
        form=form,
        proposals=proposals,
        named=queries.named_rows(db.session, [], form.lot_ids()),
        waiting={each.lot.id: each for each in proposals.lots},
        status=status,
    )


def _act(form: KeyedForm) -> Act:
    """Return who makes this change now, with the form's key."""
    now = current_time()
    return Act(key=form.client_key(), happened_at=now, recorded_at=now, person_id=sign_in.person.id)
