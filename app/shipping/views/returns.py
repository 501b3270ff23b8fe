"""Goods that come back: the list, recording a return, and deciding what becomes of it."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.lots.errors import LedgerError
from app.orders.queries import shop_today
from app.parts.models import KindRole
from app.people.models import EVERYONE, OFFICE
from app.people.queries import active_people
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import render, see_other, typed_page
from app.shipping import queries, services
from app.shipping.forms import DecisionForm, ReturnForm
from app.shipping.views.acts import office_act
from app.shipping.views.blueprint import bp


@bp.get("/returns")
@allowed(*EVERYONE)
def returns() -> Response:
    """Show the returns, newest first."""
    return render("shipping/returns.html", found=queries.returns_page(db.session, typed_page()))


@bp.get("/shipments/lines/<int:line_id>/returns/new")
@allowed(*OFFICE)
def new_return(line_id: int) -> Response:
    """Ask what came back of a shipment's line and what is to be done with it first."""
    places = queries.inspection_places(db.session)
    usual = next((each.key for each in places if "inspect" in each.kind.name.casefold()), "")
    today = shop_today(db.session, current_time())
    return _new_page(ReturnForm(data={"came_on": today, "inspect_at": usual, "inspect_seconds": 60}), line_id)


@bp.post("/shipments/lines/<int:line_id>/returns")
@allowed(*OFFICE)
def add_return(line_id: int) -> Response:
    """Record a return, or show the form again with what is wrong."""
    form = ReturnForm()
    _offer(form, line_id)
    if not form.validate():
        return _new_page(form, line_id, status=422)
    try:
        made = services.add_return(db.session, office_act(form), form.to_input(line_id))
        return see_other(url_for("shipping.goods_return", return_id=made.id))
    except RefusedError as refused:
        form.put_refused(refused)
    except LedgerError as refused:
        form.put_error("pieces", refused)
    return _new_page(form, line_id, status=422)


@bp.get("/returns/<int:return_id>")
@allowed(*EVERYONE)
def goods_return(return_id: int) -> Response:
    """Show one return: where it came from, its lot, and what was decided."""
    return _return_page(return_id)


@bp.post("/returns/<int:return_id>/decisions")
@allowed(*OFFICE)
def decide_return(return_id: int) -> Response:
    """Decide about pieces of a return, or show the form again with what is wrong."""
    form = DecisionForm()
    form.offer(active_people(db.session), sign_in.person.id)
    if not form.validate():
        return _return_page(return_id, form, status=422)
    try:
        services.decide_return(db.session, office_act(form), form.to_input(return_id))
        return see_other(url_for("shipping.goods_return", return_id=return_id))
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_error("due" if problem.place == "due" else "pieces", problem.error)
    except LedgerError as refused:
        form.put_error("pieces", refused)
    return _return_page(return_id, form, status=422)


@bp.get("/returns/of-part/<int:part_id>")
@allowed(*EVERYONE)
def returns_of_part(part_id: int) -> Response:
    """Show what came back of a part, for the part's own page."""
    return render("shipping/_returns_of_part.html", returns=queries.returns_of_part(db.session, part_id))


def _offer(form: ReturnForm, line_id: int) -> None:
    line = queries.get_shipment_line(db.session, line_id)
    again = [each for each in line.lot.operations if each.kind.role is not KindRole.BLANKS]
    form.offer(again, queries.inspection_places(db.session))


def _new_page(form: ReturnForm, line_id: int, status: int = 200) -> Response:
    _offer(form, line_id)
    line = queries.get_shipment_line(db.session, line_id)
    left = line.pieces - queries.came_back(db.session, line_id)
    return render("shipping/new_return.html", form=form, line=line, left=left, status=status)


def _return_page(return_id: int, form: DecisionForm | None = None, status: int = 200) -> Response:
    kept = queries.get_return(db.session, return_id)
    if form is None:
        form = DecisionForm(formdata=None, data={"pieces": kept.undecided or None})
        form.offer(active_people(db.session), sign_in.person.id)
    return render("shipping/return.html", returned=kept, form=form, status=status)
