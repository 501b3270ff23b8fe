"""What the app as a whole has one of: the database, sign-in and the cross-site check."""

import functools
from collections.abc import Callable
from enum import StrEnum
from typing import Any, ParamSpec, TypeVar

from flask import Flask, abort, current_app, g, request, session
from flask.sessions import SecureCookieSessionInterface
from sqlalchemy import orm
from werkzeug.exceptions import SecurityError
from werkzeug.wrappers import Response

from app.shared.database import make_engine

Arguments = ParamSpec("Arguments")
Answer = TypeVar("Answer")

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; manifest-src 'self'; worker-src 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)


class Database:
    """One engine for the app and one session for each request."""

    def init_app(self, app: Flask, url: str) -> None:
        """Open the database and close each request's session at its end."""
        app.extensions["lotwright_engine"] = make_engine(url)
        app.teardown_appcontext(self._close)

    @property
    def session(self) -> orm.Session:
        """Return this request's session."""
        if "database_session" not in g:
            g.database_session = orm.Session(current_app.extensions["lotwright_engine"])
        kept: orm.Session = g.database_session
        return kept

    @staticmethod
    def _close(_error: BaseException | None) -> None:
        opened = g.pop("database_session", None)
        if opened is not None:
            opened.close()


db = Database()


class Cookies(SecureCookieSessionInterface):
    """Flask's signed cookies, by a signer that is made once and not twice for each request."""

    def __init__(self, app: Flask) -> None:
        self._signer = super().get_signing_serializer(app)

    def get_signing_serializer(self, _app: Flask) -> Any:
        """Return the signer of the one app that these are for."""
        return self._signer


class SignIn:
    """Who is signed in to the office; the people area registers how a person is found."""

    def __init__(self) -> None:
        self._find: Callable[[int], Any] = lambda _key: None

    def person_loader(self, find: Callable[[int], Any]) -> None:
        """Register ``find(person_id)``: the active person with their ``roles`` and ``session_stamp``, or None."""
        self._find = find

    @property
    def person(self) -> Any:
        """Return the signed-in person, or None."""
        if "signed_in" not in g:
            key = session.get("person_id")
            found = self._find(key) if isinstance(key, int) else None
            # A new password ends what was begun under an earlier one.
            g.signed_in = found if found and found.session_stamp == session.get("session_stamp") else None
        return g.signed_in

    @staticmethod
    def begin(person: Any) -> None:
        """Sign a person in with a fresh cookie."""
        session.clear()
        session["person_id"] = person.id
        session["session_stamp"] = person.session_stamp
        session.permanent = True
        g.pop("signed_in", None)

    @staticmethod
    def end() -> None:
        """Sign out."""
        session.clear()
        g.pop("signed_in", None)


sign_in = SignIn()


def allowed(*roles: StrEnum) -> Callable[[Callable[Arguments, Answer]], Callable[Arguments, Answer]]:
    """Let only signed-in people with one of ``roles`` use a route; others are asked to sign in, or refused with 403."""

    def guard(view: Callable[Arguments, Answer]) -> Callable[Arguments, Answer]:
        @functools.wraps(view)
        def guarded(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Answer:
            if sign_in.person is None:
                abort(401)
            if not sign_in.person.has_role(*roles):
                abort(403)
            return view(*args, **kwargs)

        guarded.who_may_use = roles  # type: ignore[attr-defined]  # read by tests/architecture
        return guarded

    return guard


def open_to_all(view: Callable[Arguments, Answer]) -> Callable[Arguments, Answer]:
    """Declare that a route needs no office sign-in: the sign-in page, and station pages that ask for a badge."""
    view.who_may_use = ()  # type: ignore[attr-defined]  # read by tests/architecture
    return view


def init_guards(app: Flask) -> None:
    """Refuse cross-site changes and send the headers that keep a page to itself."""

    @app.before_request
    def refuse_other_sites() -> None:
        if isinstance(request.routing_exception, SecurityError):
            raise request.routing_exception  # a forged Host: nothing after this could make an address
        if request.method in {"GET", "HEAD", "OPTIONS"}:
            return
        origin = request.headers.get("Origin")
        if origin != f"{request.scheme}://{request.host}":
            abort(403, "This change came from another site's page. Open Lotwright's own page and try again.")

    @app.after_request
    def send_headers(response: Response) -> Response:
        response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("Referrer-Policy", "same-origin")
        if request.endpoint != "static":
            response.headers.setdefault("Cache-Control", "no-store")
        return response
