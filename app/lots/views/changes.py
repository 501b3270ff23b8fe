"""Changing a released lot: its operations, its revision, the station it goes to, the lots that join it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from flask import flash, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.lots import queries, services
from app.lots.errors import LedgerError
from app.lots.forms import AddForm, ChangeForm, JoinForm, MoveForm, OperationForm, RevisionForm, SendForm, WayForm
from app.lots.queries import ChangeOffer
from app.lots.services import Act
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.parts.queries import all_kinds
from app.people.models import OFFICE
from app.shared.errors import NotFoundError
from app.shared.web import Form, render, see_other
from app.shared.words import gettext
from app.stations.errors import NotOfTheCenterError
from app.stations.queries import stations_with_hours, work_centers


@dataclass(frozen=True, slots=True)
class Way:
    """One way to change a lot: its form, how that gets its choices, what it does, and beside which field it refuses."""

    form: type[ChangeForm]
    offer: Callable[[Any, ChangeOffer], None]
    do: Callable[[Act, int, Any], object]
    field: str


def _offer_add(form: AddForm, offer: ChangeOffer) -> None:
    form.offer(offer, all_kinds(db.session), work_centers(db.session))


def _offer_send(form: SendForm, offer: ChangeOffer) -> None:
    form.offer(offer.lot, stations_with_hours(db.session))


def _offer_join(form: JoinForm, offer: ChangeOffer) -> None:
    form.offer(queries.lots_to_join(db.session, offer.lot))


def _add(act: Act, lot_id: int, form: AddForm) -> None:
    services.add_operation(db.session, act, lot_id, form.to_input())


def _skip(act: Act, lot_id: int, form: OperationForm) -> None:
    services.skip_operation(db.session, act, lot_id, form.operation_id.data)


def _want(act: Act, lot_id: int, form: OperationForm) -> None:
    services.want_operation(db.session, act, lot_id, form.operation_id.data)


def _move(act: Act, lot_id: int, form: MoveForm) -> None:
    services.move_operation(db.session, act, lot_id, form.operation_id.data, form.after_id.data or None)


def _revise(act: Act, lot_id: int, form: RevisionForm) -> None:
    services.move_to_revision(db.session, act, lot_id, form.revision_id.data, form.operation_id.data)


def _send(act: Act, _lot_id: int, form: SendForm) -> None:
    operation_id, station_id = form.to_input()
    if station_id is None:
        services.let_go(db.session, act, operation_id, act.note)
    else:
        services.send_to_station(db.session, act, operation_id, station_id, act.note)


def _way(act: Act, lot_id: int, form: WayForm) -> None:
    services.change_way(db.session, act, lot_id, form.operation_id.data, form.to_input())


def _join(act: Act, lot_id: int, form: JoinForm) -> None:
    services.join_lots(db.session, act, lot_id, form.joined_id.data)


WAYS: dict[str, Way] = {
    "add": Way(AddForm, _offer_add, _add, "after_id"),
    "skip": Way(OperationForm, lambda form, offer: form.offer(offer.skippable), _skip, "operation_id"),
    "want": Way(OperationForm, lambda form, offer: form.offer(offer.skipped), _want, "operation_id"),
    "move": Way(MoveForm, lambda form, offer: form.offer_places(offer), _move, "after_id"),
    "revision": Way(RevisionForm, lambda form, offer: form.offer_revisions(offer), _revise, "operation_id"),
    "send": Way(SendForm, _offer_send, _send, "where"),
    "way": Way(WayForm, lambda form, offer: form.offer_ways(offer.lot), _way, "stations"),
    "join": Way(JoinForm, _offer_join, _join, "joined_id"),
}
"""By the name that stands in the address; each form is sent with it as a prefix."""


@bp.get("/lots/<int:lot_id>/changes")
@allowed(*OFFICE)
def changes(lot_id: int) -> Response:
    """Show what can be changed about a lot, and what was."""
    return _page(lot_id)


def _page(lot_id: int, refused: str = "", form: Form | None = None) -> Response:
    lot = queries.get_lot(db.session, lot_id)
    offer = queries.change_offer(db.session, lot)
    forms: dict[str, Form] = {}
    for name, way in WAYS.items():
        made: Any = form if form and name == refused else way.form(formdata=None, prefix=f"{name}-")
        way.offer(made, offer)
        forms[name] = made
    return render(
        "lots/changes.html",
        status=422 if form else 200,
        lot=lot,
        offer=offer,
        forms=forms,
        changes=queries.changes_of(db.session, lot_id),
    )


@bp.post("/lots/<int:lot_id>/changes/<any('add','skip','want','move','revision','send','way','join'):name>")
@allowed(*OFFICE)
def add_change(lot_id: int, name: str) -> Response:
    """Change a lot in one of the ways, or show the form again with what is wrong."""
    way = WAYS[name]
    form: Any = way.form(prefix=f"{name}-")
    way.offer(form, queries.change_offer(db.session, queries.get_lot(db.session, lot_id)))
    if not form.validate():
        return _page(lot_id, name, form)
    try:
        way.do(replace(office_act(form), note=form.reason.data or ""), lot_id, form)
    except (LedgerError, NotFoundError, NotOfTheCenterError) as error:
        form.put_error(way.field, error)
        return _page(lot_id, name, form)
    flash(gettext("The lot is changed. Print its traveler again; the forecast follows in a moment."), "note")
    return see_other(url_for("lots.lot", lot_id=lot_id))
