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
from app.shipping.queries.returns import (
    InspectionPlace,
    came_back,
    get_return,
    get_shipment_line,
    inspection_places,
    returns_of_lot,
    returns_of_part,
    returns_of_shipment,
    returns_page,
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
    "InspectionPlace",
    "Leaving",
    "Left",
    "OnTime",
    "ReadyCustomer",
    "ReadyDelivery",
    "came_back",
    "get_return",
    "get_shipment",
    "get_shipment_line",
    "heats_of_lots",
    "inspection_places",
    "leavings",
    "left_of_lot",
    "left_of_order",
    "load_cargo",
    "on_time_of_customer",
    "on_time_of_order",
    "ready_for",
    "ready_to_ship",
    "returns_of_lot",
    "returns_of_part",
    "returns_of_shipment",
    "returns_page",
    "share_of",
    "shared_out",
    "shipments_page",
]
