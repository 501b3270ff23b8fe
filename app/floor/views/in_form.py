"""A scan while a form is open: it never sends the form, and nothing typed is lost."""

from collections.abc import Iterable

from flask import request, url_for
from werkzeug.wrappers import Response

from app.extensions import db
from app.floor import services
from app.floor.services import Sent, Shown
from app.floor.views.scans import address_of, scan_badge
from app.shared.web import see_other

NOT_TYPED = frozenset({"key", "age", "code", "anyway", "back", "earlier", "blanks", "first", "pause", "operations"})


def scan_in_form(sent: Sent, operation_ids: list[int], code: str, shown_at: str) -> Response:
    """Go where a code leads that was scanned into a form; ``shown_at`` is the form's address with what was typed.

    Raises:
        PlainError: the code does not belong here; the caller shows the form again as it is.
    """
    answer = services.check_same_work(db.session, sent, operation_ids, code)
    if answer.shown is Shown.SIGN_ON:
        return scan_badge(sent, answer, then=shown_at)
    return see_other(shown_at if answer.shown is Shown.DONE else address_of(sent.station_id, answer))


def with_what_was_typed(endpoint: str, **address: int | str) -> str:
    """Return the address of a form with what was typed into it, so that it is shown filled in again."""
    typed: dict[str, list[str]] = {
        name: request.form.getlist(name) for name in request.form if name not in NOT_TYPED and request.form.get(name)
    }
    return url_for(endpoint, **address, **typed)  # type: ignore[arg-type]  # lists become repeated fields


def typed_before(names: Iterable[str]) -> bool:
    """Say whether the address carries what was typed into a form before; ``names`` are how its fields begin."""
    return any(name.startswith(tuple(names)) for name in request.args)
