"""Parts, revisions, blanks and routings."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
    from app.parts.views import bp  # noqa: PLC0415 - models can be used without the web

    app.register_blueprint(bp)
