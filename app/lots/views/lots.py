"""The list of lots and one lot's page."""

from typing import Any

from flask import request
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.lots import queries
from app.lots.forms import AsideForm, CountForm, FewerForm, KeyForm, PiecesForm, ReasonForm
from app.lots.queries import LotStory, Shown, since_issue
from app.lots.views import bp
from app.people.models import EVERYONE
from app.people.queries import active_people
from app.shared.clock import current_time
from app.shared.codes import ISSUE
from app.shared.units import UnitSystem
from app.shared.web import Form, render, typed_page

FORMS: dict[str, type[Form]] = {
    "hold_form": ReasonForm,
    "aside_form": AsideForm,
    "split_form": PiecesForm,
    "fewer_form": FewerForm,
    "count_form": CountForm,
}
"""The forms of a lot's page; each is sent with its name as a prefix, so that no two fields share a name."""


@bp.get("/lots")
@allowed(*EVERYONE)
def lots() -> Response:
    """List lots."""
    shown = next((each for each in Shown if each.value == request.args.get("show")), Shown.OPEN)
    text = request.args.get("q", "").strip()
    page = queries.lots_page(db.session, text, shown, typed_page())
    return render("lots/lots.html", page=page, shown=shown, choices=list(Shown), text=text, units=_units())


@bp.get("/lots/<int:lot_id>")
@allowed(*EVERYONE)
def lot(lot_id: int) -> Response:
    """Show where a lot's pieces are, what was planned and done, and its whole ledger."""
    return lot_page(lot_id)


@bp.get("/lots/of-order/<int:order_id>")
@allowed(*EVERYONE)
def lots_of_order(order_id: int) -> Response:
    """Show the lots that serve an order, for the order's own page."""
    return render("lots/_of_order.html", lots=queries.lots_of_order(db.session, order_id))


def lot_page(lot_id: int, *, status: int = 200, refusal: str = "", **forms: Form) -> Response:
    """Show a lot's page, with a form that was refused where there is one."""
    story = queries.lot_story(db.session, lot_id, current_time())
    fresh: dict[str, Any] = {name: made(formdata=None, prefix=f"{name}-") for name, made in FORMS.items()}
    shown = {**fresh, **forms}
    for name in ("aside_form", "split_form"):
        shown[name].offer(story.lot.operations)
    shown["count_form"].offer(story.lot, active_people(db.session), sign_in.person.id)
    return render(
        "lots/lot.html",
        status=status,
        story=story,
        lot=story.lot,
        key_form=KeyForm(),
        refusal=refusal,
        held_print=_held_print(story),
        units=_units(),
        **shown,
    )


def _held_print(story: LotStory) -> dict[str, Any] | None:
    """Return what changed since the print whose code was opened, as the address says; None for a fresh one."""
    issue = request.args.get(ISSUE, type=int)
    since = since_issue(story.changes, issue) if issue is not None else []
    return {"issue": issue, "since": since} if since else None


def _units() -> UnitSystem:
    return queries.shop_units(db.session)
