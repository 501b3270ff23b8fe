"""Reads of customers, orders and deliveries."""

from app.orders.queries.customers import active_customers, customers_by_name, customers_page, get_customer, leave_day
from app.orders.queries.deliveries import (
    agreements_of,
    get_delivery,
    leave_by,
    open_deliveries,
    open_deliveries_of_customer,
    open_deliveries_of_revision,
    revisions_of,
    shop_today,
)
from app.orders.queries.orders import Shown, any_orders, deliveries_page, get_line, get_order
from app.orders.queries.parts import (
    PartChoice,
    PartsByNumber,
    RevisionChoice,
    find_parts,
    revisions_without_routing,
    similar_numbers,
    suggest_parts,
)
from app.orders.queries.repeats import Repeat, RepeatedLine, repeat_of_order, repeat_of_part

__all__ = [
    "PartChoice",
    "PartsByNumber",
    "Repeat",
    "RepeatedLine",
    "RevisionChoice",
    "Shown",
    "active_customers",
    "agreements_of",
    "any_orders",
    "customers_by_name",
    "customers_page",
    "deliveries_page",
    "find_parts",
    "get_customer",
    "get_delivery",
    "get_line",
    "get_order",
    "leave_by",
    "leave_day",
    "open_deliveries",
    "open_deliveries_of_customer",
    "open_deliveries_of_revision",
    "repeat_of_order",
    "repeat_of_part",
    "revisions_of",
    "revisions_without_routing",
    "shop_today",
    "similar_numbers",
    "suggest_parts",
]
