"""What the app is told of purchasing when it is put together."""

from flask import Flask

from app.purchasing.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages."""
    app.register_blueprint(bp)
