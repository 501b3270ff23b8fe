"""What the app is told of material when it is put together."""

from flask import Flask

from app.material.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages."""
    app.register_blueprint(bp)
