"""Rendering the pages of a station."""

import hashlib
import secrets
from typing import Any

from flask import make_response, render_template, request
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind, format_code
from app.extensions import db
from app.floor import queries
from app.floor.queries import Frame
from app.floor.services import MAY_DECIDE
from app.floor.views import device
from app.floor.views.refusals import Refusal
from app.lots.queries.names import lot_name, operation_code, operation_name
from app.shared.clock import current_time
from app.shared.web import render, wants_fragment


def fresh_key() -> str:
    """Return a key for a form that is shown; in a part of a page it stays empty and the browser fills it.

    So the same state gives the same part, and a poll can be answered with 'nothing new'.
    """
    return "" if wants_fragment() else secrets.token_hex(16)


def known(frame: Frame) -> dict[str, Any]:
    """Return what the templates of a station's pages need besides their own matter."""
    acting = frame.acting
    kept = device.kept_scan(frame.station.id, current_time())
    return {
        "frame": frame,
        "station": frame.station,
        "station_code": format_code(CodeKind.STATION, frame.station.number),
        "kept_code": kept[0] if kept and acting is None else "",
        "may_decide": acting is not None and acting.person.has_role(*MAY_DECIDE),
        "lot_name": lot_name,
        "operation_code": operation_code,
        "operation_name": operation_name,
        "fresh_key": fresh_key,
        "graduations": queries.graduations,
    }


def show(page: str, station_id: int, *, status: int = 200, refusal: Refusal | None = None, **context: Any) -> Response:
    """Render a page of a station.

    Raises:
        StationNotFoundError: there is no such station.
    """
    frame = context.pop("frame", None) or queries.frame(db.session, station_id, current_time())
    return render(page, status=status, refusal=refusal, **{**known(frame), **context})


def station_page(station_id: int, refusal: Refusal | None = None, status: int = 200) -> Response:
    """Render a station's own page.

    Raises:
        StationNotFoundError: there is no such station.
    """
    board = queries.board(db.session, station_id, current_time())
    lot_ids = {each.lot.id for work in board.work for each in work.jobs}
    return show(
        "floor/station.html",
        station_id,
        frame=board.frame,
        board=board,
        work=board.work,
        hand_over=queries.hand_over(db.session, board.frame.station, current_time()),
        notes=queries.station_notes(db.session, station_id, lot_ids),
        refusal=refusal,
        status=status,
    )


def fragment(name: str, frame: Frame, **context: Any) -> Response:
    """Render a part of a page for a poll, or say with 304 that nothing is new since the tag that the browser sent."""
    return tagged(name, **{**known(frame), **context})


def tagged(name: str, **context: Any) -> Response:
    """Render a part of a page for a poll with a tag of what it says; 304 where the browser has just that."""
    body = render_template(name, **context)
    tag = hashlib.sha256(body.encode()).hexdigest()[:24]
    known_there = request.headers.get("HX-PTag") == tag
    answer = make_response("", 304) if known_there else make_response(body)
    answer.headers["HX-PTag"] = tag
    answer.vary.add("HX-Request-Type")
    return answer
