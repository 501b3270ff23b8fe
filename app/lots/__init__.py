"""Lots, the piece ledger and the traveler."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages, and the filters that name lots and operations; lots follow deliveries."""
    from app.lots.queries import (  # noqa: PLC0415 - no web needed
        cycle_words,
        lot_name,
        lot_rule,
        operation_code,
        operation_name,
        way_words,
    )
    from app.lots.services import refresh_due_of_deliveries  # noqa: PLC0415 - the same
    from app.lots.views import bp  # noqa: PLC0415 - models can be used without the web
    from app.orders.services import follow_deliveries  # noqa: PLC0415 - the same

    app.register_blueprint(bp)
    follow_deliveries(refresh_due_of_deliveries)
    for shown in (cycle_words, lot_name, lot_rule, operation_code, operation_name, way_words):
        app.jinja_env.filters[shown.__name__] = shown
