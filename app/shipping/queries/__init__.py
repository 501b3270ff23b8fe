"""Reads of shipments and of what is ready to ship."""

from app.shipping.queries.cargo import Cargo, load_cargo, share_of
from app.shipping.queries.on_time import OnTime, on_time_of_customer, on_time_of_order
from app.shipping.queries.ready import (
    Candidate,
    ReadyCustomer,
    ReadyDelivery,
    ready_for,
    ready_to_ship,
    shared_out,
)
from app.shipping.queries.shipments import (
    Leaving,
    Left,
    get_shipment,
    heats_of_lots,
    leavings,
    left_of_lot,
    left_of_order,
    shipments_page,
)

__all__ = [
    "Candidate",
    "Cargo",
    "Leaving",
    "Left",
    "OnTime",
    "ReadyCustomer",
    "ReadyDelivery",
    "get_shipment",
    "heats_of_lots",
    "leavings",
    "left_of_lot",
    "left_of_order",
    "load_cargo",
    "on_time_of_customer",
    "on_time_of_order",
    "ready_for",
    "ready_to_ship",
    "share_of",
    "shared_out",
    "shipments_page",
]
