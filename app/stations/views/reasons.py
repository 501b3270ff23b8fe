"""The usual reasons for scrap and downtime that stations offer as keys."""

from flask import url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import EVERYONE, Role
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.stations import queries, services
from app.stations.forms import ReasonForm
from app.stations.models import ReasonUse
from app.stations.views.blueprint import bp

USES = ", ".join(f"'{use.value}'" for use in ReasonUse)


@bp.get("/shop/reasons")
@allowed(*EVERYONE)
def reasons() -> Response:
    """Show the reasons that are offered, and those that were retired."""
    return _page(None)


@bp.post(f"/shop/reasons/<any({USES}):use>")
@allowed(Role.OWNER)
def add_reason(use: str) -> Response:
    """Offer another reason, or show the form again with what is wrong."""
    form = ReasonForm(prefix=f"{use}-")
    if not form.validate():
        return _page(form, 422)
    try:
        services.add_reason(db.session, ReasonUse(use), form.words.data or "")
    except RefusedError as refused:
        form.put_refused(refused)
        return _page(form, 422)
    return see_other(url_for("stations.reasons"))


@bp.post("/shop/reasons/<int:reason_id>/retire")
@allowed(Role.OWNER)
def retire_reason(reason_id: int) -> Response:
    """Offer a reason no longer."""
    services.retire_reason(db.session, reason_id)
    return see_other(url_for("stations.reasons"))


@bp.post("/shop/reasons/<int:reason_id>/offer")
@allowed(Role.OWNER)
def offer_reason(reason_id: int) -> Response:
    """Offer a retired reason again."""
    services.offer_reason(db.session, reason_id)
    return see_other(url_for("stations.reasons"))


def _page(sent: ReasonForm | None, status: int = 200) -> Response:
    """Render the page; ``sent`` is the form with something wrong in it, which its prefix tells from the other one."""
    forms = {use: ReasonForm(formdata=None, prefix=f"{use.value}-") for use in ReasonUse}
    for use, form in forms.items():
        if sent is not None and sent.words.name == form.words.name:
            forms[use] = sent
    return render("stations/reasons.html", status=status, found=queries.all_reasons(db.session), forms=forms)
