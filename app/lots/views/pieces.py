"""Changes to a lot made in the office: hold, release, split, scrap, rework, undo."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.lots import queries, services
from app.lots.errors import LedgerError
from app.lots.forms import AsideForm, CountForm, FewerForm, KeyForm, PiecesForm, ReasonForm
from app.lots.services import Act
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.lots.views.lots import lot_page
from app.people.models import OFFICE, Role
from app.people.queries import active_people
from app.shared.web import see_other
from app.shared.words import ngettext

MAY_DISPOSE = (*OFFICE, Role.INSPECTOR)


@bp.post("/lots/<int:lot_id>/hold")
@allowed(*MAY_DISPOSE)
def hold_lot(lot_id: int) -> Response:
    """Put the whole lot on hold."""
    form = ReasonForm(prefix="hold_form-")
    if not form.validate():
        return lot_page(lot_id, status=422, hold_form=form)
    try:
        services.hold_lot(db.session, office_act(form), lot_id, form.reason.data or "")
    except LedgerError as error:
        form.put_error("reason", error)
        return lot_page(lot_id, status=422, hold_form=form)
    return see_other(url_for("lots.lot", lot_id=lot_id))


@bp.post("/lots/<int:lot_id>/release")
@allowed(*MAY_DISPOSE)
def release_lot_hold(lot_id: int) -> Response:
    """Let the lot go on."""
    try:
        services.release_lot_hold(db.session, office_act(KeyForm()), lot_id)
    except LedgerError as error:
        return lot_page(lot_id, status=422, refusal=str(error))
    return see_other(url_for("lots.lot", lot_id=lot_id))


@bp.post("/lots/<int:lot_id>/splits")
@allowed(*OFFICE)
def split_lot(lot_id: int) -> Response:
    """Give some pieces a lot of their own."""
    form = PiecesForm(prefix="split_form-")
    form.offer(queries.get_lot(db.session, lot_id).operations)
    if not form.validate():
        return lot_page(lot_id, status=422, split_form=form)
    try:
        child = services.split_lot(db.session, office_act(form), form.operation_id.data, form.pieces.data or 0)
    except LedgerError as error:
        form.put_error("pieces", error)
        return lot_page(lot_id, status=422, split_form=form)
    name = queries.lot_name(child)
    said = ngettext("%(num)d piece is lot %(lot)s now.", "%(num)d pieces are lot %(lot)s now.", child.started, lot=name)
    flash(said, "note")
    return see_other(url_for("lots.lot", lot_id=child.id))


@bp.post("/lots/<int:lot_id>/fewer")
@allowed(*OFFICE)
def start_fewer(lot_id: int) -> Response:
    """Start fewer pieces than at release, because their blanks will not come."""
    form = FewerForm(prefix="fewer_form-")
    if not form.validate():
        return lot_page(lot_id, status=422, fewer_form=form)
    try:
        services.start_fewer(db.session, office_act(form), lot_id, form.pieces.data or 0)
    except LedgerError as error:
        form.put_error("pieces", error)
        return lot_page(lot_id, status=422, fewer_form=form)
    return see_other(url_for("lots.lot", lot_id=lot_id))


@bp.post("/lots/<int:lot_id>/recounts")
@allowed(*MAY_DISPOSE)
def recount(lot_id: int) -> Response:
    """Put the books right after a count that does not agree with them."""
    form = CountForm(prefix="count_form-")
    form.offer(queries.get_lot(db.session, lot_id), active_people(db.session), sign_in.person.id)
    if not form.validate():
        return lot_page(lot_id, status=422, count_form=form)
    act = replace(office_act(form), person_id=form.person_id.data, recorded_by_id=sign_in.person.id)
    try:
        services.recount(db.session, act, lot_id, form.to_input())
    except LedgerError as error:
        form.put_error("pieces", error)
        return lot_page(lot_id, status=422, count_form=form)
    return see_other(url_for("lots.lot", lot_id=lot_id, _anchor="ledger"))


def _hold(act: Act, form: AsideForm) -> None:
    services.hold_pieces(db.session, act, form.operation_id.data, form.pieces.data or 0, form.reason.data or "")


def _release(act: Act, form: AsideForm) -> None:
    services.release_pieces(db.session, act, form.operation_id.data, form.pieces.data or 0)


def _scrap(act: Act, form: AsideForm) -> None:
    cause = form.other_operation_id.data or None
    pieces, reason = form.pieces.data or 0, form.reason.data or ""
    services.scrap_pieces(db.session, act, form.operation_id.data, pieces, reason, cause)


def _rework(act: Act, form: AsideForm) -> None:
    back_to, reason = form.other_operation_id.data, form.reason.data or ""
    services.rework_pieces(db.session, act, form.operation_id.data, form.pieces.data or 0, back_to, reason)


ASIDE: dict[str, Callable[[Act, AsideForm], Any]] = {
    "hold": _hold,
    "release": _release,
    "scrap": _scrap,
    "rework": _rework,
}


@bp.post("/lots/<int:lot_id>/aside")
@allowed(*MAY_DISPOSE)
def set_aside(lot_id: int) -> Response:
    """Hold, release, scrap or send back some pieces, as the pressed button says."""
    form = AsideForm(prefix="aside_form-")
    form.offer(queries.get_lot(db.session, lot_id).operations)
    what = ASIDE.get(request.form.get("what", ""), _hold)
    if not form.validate():
        return lot_page(lot_id, status=422, aside_form=form)
    try:
        what(office_act(form), form)
    except LedgerError as error:
        form.put_error("pieces", error)
        return lot_page(lot_id, status=422, aside_form=form)
    return see_other(url_for("lots.lot", lot_id=lot_id))


@bp.post("/lots/<int:lot_id>/postings/<int:posting_id>/undo")
@allowed(*OFFICE)
def undo(lot_id: int, posting_id: int) -> Response:
    """Reverse an entry of the ledger."""
    try:
        services.undo(db.session, office_act(KeyForm()), posting_id)
    except LedgerError as error:
        return lot_page(lot_id, status=422, refusal=str(error))
    return see_other(url_for("lots.lot", lot_id=lot_id, _anchor="ledger"))
