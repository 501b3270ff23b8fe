"""What the app is told of safekeeping when it is put together."""

from flask import Flask

from app.safekeeping.views import bp


def init_app(app: Flask) -> None:
    """Register the area's page."""
    app.register_blueprint(bp)
