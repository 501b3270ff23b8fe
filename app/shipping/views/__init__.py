"""Pages of the shipping area."""

from app.shipping.views import returns, shipments
from app.shipping.views.blueprint import bp

__all__ = ["bp", "returns", "shipments"]
