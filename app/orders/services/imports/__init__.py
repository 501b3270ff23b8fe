"""Import customer orders from a table: one row for each delivery, all or nothing."""

from app.orders.services.imports.columns import COLUMNS, EXAMPLE_ROWS, ColumnHelp, column_helps
from app.orders.services.imports.plan import OrdersPreview, PreviewOrder
from app.orders.services.imports.store import import_orders, preview_orders

__all__ = [
    "COLUMNS",
    "EXAMPLE_ROWS",
    "ColumnHelp",
    "OrdersPreview",
    "PreviewOrder",
    "column_helps",
    "import_orders",
    "preview_orders",
]
