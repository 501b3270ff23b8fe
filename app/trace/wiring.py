"""What the app is told of trace when it is put together."""

from flask import Flask

from app.trace.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages."""
    app.register_blueprint(bp)
