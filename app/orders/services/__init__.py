"""The verbs of customers, orders and deliveries."""

from app.orders.services.closing import cancel_delivery, close_delivery, reopen_delivery
from app.orders.services.customers import add_customer, change_customer
from app.orders.services.deliveries import add_delivery, add_shipped, change_delivery, remove_delivery
from app.orders.services.following import follow_deliveries
from app.orders.services.imports import (
    COLUMNS,
    EXAMPLE_ROWS,
    ColumnHelp,
    OrdersPreview,
    column_helps,
    import_orders,
    preview_orders,
)
from app.orders.services.inputs import (
    HIGHEST_PRICE,
    MOST_DELIVERIES,
    MOST_LINES,
    MOST_PIECES,
    LineTerms,
    NewCustomer,
    NewDelivery,
    NewLine,
    NewOrder,
    OrderHead,
    Talk,
    Terms,
)
from app.orders.services.lines import add_line, change_line, remove_line
from app.orders.services.orders import add_order, change_order

__all__ = [
    "COLUMNS",
    "EXAMPLE_ROWS",
    "HIGHEST_PRICE",
    "MOST_DELIVERIES",
    "MOST_LINES",
    "MOST_PIECES",
    "ColumnHelp",
    "LineTerms",
    "NewCustomer",
    "NewDelivery",
    "NewLine",
    "NewOrder",
    "OrderHead",
    "OrdersPreview",
    "Talk",
    "Terms",
    "add_customer",
    "add_delivery",
    "add_line",
    "add_order",
    "add_shipped",
    "cancel_delivery",
    "change_customer",
    "change_delivery",
    "change_line",
    "change_order",
    "close_delivery",
    "column_helps",
    "follow_deliveries",
    "import_orders",
    "preview_orders",
    "remove_delivery",
    "remove_line",
    "reopen_delivery",
]
