"""Lots, the piece ledger and the traveler."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages, and have lots follow the deliveries they serve."""
    # Imported here because models can be used without the web.
    from app.lots.services.due import refresh_due_of_deliveries  # noqa: PLC0415
    from app.lots.views import bp  # noqa: PLC0415
    from app.orders.services import follow_deliveries  # noqa: PLC0415

    app.register_blueprint(bp)
    follow_deliveries(refresh_due_of_deliveries)
