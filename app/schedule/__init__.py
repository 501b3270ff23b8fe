"""The forecast: rows to the core's planning problem and back, computed by the planner process."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
    from app.schedule.views import bp  # noqa: PLC0415 - models can be used without the web

    app.register_blueprint(bp)
