"""People of the shop: their roles, passwords for the office, badges and PINs for the floor."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
    from app.people.views import bp  # noqa: PLC0415 - models can be used without the web

    app.register_blueprint(bp)
