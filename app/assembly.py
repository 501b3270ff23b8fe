"""Puts the areas together into one Flask app."""

import mimetypes
from datetime import timedelta
from typing import Any

from flask import Flask, current_app, redirect, render_template, request, url_for
from flask_babel import Babel
from werkzeug.exceptions import HTTPException, NotFound, SecurityError
from werkzeug.routing import IntegerConverter, Map
from werkzeug.wrappers import Response

from app.config import LARGEST_UPLOAD, ROOT, Config, load_config
from app.core import scan_code
from app.extensions import Cookies, db, init_guards, sign_in
from app.floor.wiring import init_app as init_floor
from app.lots.wiring import init_app as init_lots
from app.material.wiring import init_app as init_material
from app.orders.wiring import init_app as init_orders
from app.parts.wiring import init_app as init_parts
from app.people.wiring import init_app as init_people
from app.purchasing.wiring import init_app as init_purchasing
from app.quality.wiring import init_app as init_quality
from app.review.wiring import init_app as init_review
from app.safekeeping.wiring import init_app as init_safekeeping
from app.schedule.wiring import init_app as init_schedule
from app.shared import words
from app.shared.clock import current_time
from app.shared.errors import NotFoundError, PlainError
from app.shared.web import wants_fragment
from app.shipping.wiring import init_app as init_shipping
from app.stations.wiring import init_app as init_stations
from app.trace.wiring import init_app as init_trace

LARGEST_ROW = 2**31 - 1


class RowNumber(IntegerConverter):
    """A whole number in an address; one that no row can have is no address of ours."""

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, min=0, max=LARGEST_ROW)


mimetypes.add_type("text/javascript", ".js")  # a Windows registry may say text/plain, and no browser would run it

AREAS = (
    init_people,
    init_stations,
    init_parts,
    init_orders,
    init_material,
    init_lots,
    init_quality,
    init_schedule,
    init_purchasing,
    init_floor,
    init_shipping,
    init_safekeeping,
    init_trace,
    init_review,
)


def assemble(config: Config | None = None, **settings: Any) -> Flask:
    """Make the app: settings, database, guards, words, then each area's ``init_app``."""
    config = config or load_config()
    app = Flask("app", root_path=str(ROOT / "app"), static_folder=str(ROOT / "static"), static_url_path="/static")
    app.template_folder = str(ROOT / "templates")
    app.config.update(
        SECRET_KEY=config.secret_key,
        TESTING=config.testing,
        MAX_CONTENT_LENGTH=LARGEST_UPLOAD,
        MAX_FORM_MEMORY_SIZE=4 * 1024 * 1024,
        SESSION_COOKIE_NAME="lotwright",
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_HTTPONLY=True,
        PERMANENT_SESSION_LIFETIME=timedelta(hours=14),
        # An answer that changes nothing sets no cookie: one still on its way would undo a sign-in made meanwhile.
        SESSION_REFRESH_EACH_REQUEST=False,
        DATA_FOLDER=config.data_folder,
        **settings,
    )
    app.session_interface = Cookies(app)
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True}
    app.url_map.converters["int"] = RowNumber
    db.init_app(app, config.database_url)
    init_guards(app)
    _init_words(app)
    _init_error_pages(app)
    for init_area in AREAS:
        init_area(app)
    return app


def _init_words(app: Flask) -> None:
    Babel(app)
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]  # the extension adds it
        lambda text: words.translations().ugettext(text),
        lambda one, many, number: words.translations().ungettext(one, many, number),
        newstyle=True,
    )
    shown_so = (
        words.day,
        words.short_day,
        words.moment,
        words.day_and_time,
        words.clock_time,
        words.duration,
        words.to_the_minute,
        words.price,
    )
    for shown in shown_so:
        app.jinja_env.filters[shown.__name__] = shown

    @app.context_processor
    def what_every_page_knows() -> dict[str, Any]:
        return {"signed_in": sign_in.person, "present": current_time(), "code_pattern": scan_code.PATTERN}


def _error_page(status: int, sentence: str) -> tuple[str, int]:
    page = "shared/_error.html" if wants_fragment() else "shared/error.html"
    return render_template(page, status=status, sentence=sentence), status


def _init_error_pages(app: Flask) -> None:
    app.register_error_handler(401, _ask_to_sign_in)
    app.register_error_handler(NotFoundError, lambda error: _error_page(404, str(error)))
    app.register_error_handler(PlainError, lambda error: _error_page(409, str(error)))
    app.register_error_handler(SecurityError, _forged_host)
    app.register_error_handler(HTTPException, _web_error)
    app.register_error_handler(OverflowError, lambda _error: _web_error(NotFound()))
    if not app.config["TESTING"]:
        app.register_error_handler(Exception, _own_mistake)


def _ask_to_sign_in(_error: Exception) -> Response | tuple[str, int]:
    if request.method == "GET" and not wants_fragment():
        return redirect(url_for("people.sign_in_page", to=request.full_path.rstrip("?")), code=303)
    return _error_page(
        401, words.gettext("Your sign-in has ended. Go back: what you typed is still there. Sign in first.")
    )


def _forged_host(_error: Exception) -> tuple[str, int]:
    """Answer a forged Host without a page: no address can be made for it."""
    return words.gettext(
        "Lotwright does not answer under this name. Use the address it printed when it was started."
    ), 400


def _web_error(error: HTTPException) -> Response | tuple[str, int]:
    if error.code is None or error.code < 400:
        return error.get_response()
    return _error_page(error.code, _sentence_for(error))


def _own_mistake(error: Exception) -> tuple[str, int]:
    current_app.logger.exception("A page failed", exc_info=error)
    return _error_page(
        500, words.gettext("Lotwright made a mistake. Nothing was changed; the log on the shop PC has it.")
    )


def _sentence_for(error: HTTPException) -> str:
    sentences = {
        403: words.gettext("Your role does not allow this. An owner can change what you may do under People."),
        404: words.gettext("There is nothing at this address."),
        405: words.gettext("This address only answers the form that leads to it."),
        413: words.gettext("That file is larger than 32 MB. Save it smaller, or upload only the pages needed."),
    }
    if error.response is None and error.description and error.description != type(error).description:
        return error.description
    return sentences.get(error.code or 500, words.gettext("That did not work (status %(code)s).", code=error.code))
