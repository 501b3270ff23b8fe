"""Pages of the material area."""

from app.material.views import orders, receipts, stock, vendors
from app.material.views.blueprint import bp

__all__ = ["bp", "orders", "receipts", "stock", "vendors"]
