"""What the app is told of floor when it is put together."""

from flask import Flask

from app.floor.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages."""
    app.register_blueprint(bp)
