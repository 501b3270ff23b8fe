"""What to order, for which lots, and what is overdue."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
    from app.purchasing.views import bp  # noqa: PLC0415 - models can be used without the web

    app.register_blueprint(bp)
