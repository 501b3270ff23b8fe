"""Traceability: what was made from what, where it went and what was measured on it. Reads only."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
    from app.trace.views import bp  # noqa: PLC0415 - queries can be used without the web

    app.register_blueprint(bp)
