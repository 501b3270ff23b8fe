"""What the app is told of lots when it is put together."""

from flask import Flask

from app.lots.queries import (
    cycle_words,
    lot_name,
    lot_rule,
    operation_code,
    operation_name,
    way_words,
)
from app.lots.services import refresh_due_of_deliveries
from app.lots.views import bp
from app.orders.services import follow_deliveries


def init_app(app: Flask) -> None:
    """Register the area's pages, and the filters that name lots and operations; lots follow deliveries."""
    app.register_blueprint(bp)
    follow_deliveries(refresh_due_of_deliveries)
    for shown in (cycle_words, lot_name, lot_rule, operation_code, operation_name, way_words):
        app.jinja_env.filters[shown.__name__] = shown
