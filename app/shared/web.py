"""What every view needs of HTTP: forms bound to the request, pages and fragments, redirects that are always 303."""

import secrets
from collections.abc import Mapping
from typing import Any

import wtforms
from flask import make_response, redirect, render_template, request
from werkzeug.datastructures import CombinedMultiDict, MultiDict
from werkzeug.wrappers import Response
from wtforms.fields import HiddenField

from app.shared.errors import RefusedError


class Form(wtforms.Form):
    """A plain WTForms form bound to what the request carries; cross-site requests are refused before it is read."""

    def __init__(self, data: Mapping[str, Any] | None = None, **options: Any) -> None:
        sent: MultiDict[str, Any] | None = None
        if request.method == "POST" and "formdata" not in options:
            sent = CombinedMultiDict([request.form, request.files]) if request.files else request.form
        # A page's other forms are shown as they are stored: they ask for ``formdata=None``.
        super().__init__(**{"formdata": sent, "data": data, **options})

    def put_error(self, name: str, error: Exception | str) -> None:
        """Show a rule's refusal beside the field it is about; nothing typed is lost."""
        field = self[name]
        field.errors = [*field.errors, str(error)]

    def put_refused(self, refused: RefusedError) -> None:
        """Show all that a service found wrong, each beside the field that its place names."""
        for problem in refused.problems:
            self.put_error(problem.place, problem.error)


class KeyedForm(Form):
    """A form that makes a change which counts once: each one shown has a fresh key, kept while it is corrected."""

    key = HiddenField(default=lambda: secrets.token_hex(16))

    def client_key(self) -> str:
        """Return the key that was sent, or a fresh one where a browser left it out."""
        return (self.key.data or "").strip()[:64] or secrets.token_hex(16)


def wants_fragment() -> bool:
    """Say whether htmx asks for a part of a page; a boosted link asks for the whole."""
    return request.headers.get("HX-Request-Type") == "partial"


def render(page: str, /, *, fragment: str | None = None, status: int = 200, **context: Any) -> Response:
    """Render ``fragment`` for an htmx swap, else the whole ``page`` that includes it."""
    name = fragment if fragment and wants_fragment() else page
    response = make_response(render_template(name, **context), status)
    response.vary.add("HX-Request-Type")
    return response


def see_other(url: str) -> Response:
    """Send the browser on to ``url`` after a change, so that a reload never repeats it."""
    return redirect(url, code=303)


def typed_page() -> int:
    """Return the page number of a list from the address, 1 where it is missing or nonsense."""
    return max(1, request.args.get("page", 1, type=int))
