"""What the app is told of orders when it is put together."""

from flask import Flask

from app.orders.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages."""
    app.register_blueprint(bp)
