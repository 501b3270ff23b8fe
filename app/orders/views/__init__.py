"""Pages of the orders area."""

from app.orders.views import customers, deliveries, imports, lines, orders, taking
from app.orders.views.blueprint import bp

__all__ = ["bp", "customers", "deliveries", "imports", "lines", "orders", "taking"]
