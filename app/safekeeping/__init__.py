"""What outlives this PC: paper files and backups, when the owners want them and how old they are."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's page."""
    from app.safekeeping.views import bp  # noqa: PLC0415 - models can be used without the web

    app.register_blueprint(bp)
