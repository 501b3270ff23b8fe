"""Reads of shipments and of what is ready to ship."""

from app.shipping.queries.cargo import Cargo, load_cargo, share_of
from app.shipping.queries.ready import (
    Candidate,
    ReadyCustomer,
    ReadyDelivery,
    ready_for,
    ready_to_ship,
    shared_out,
)
from app.shipping.queries.shipments import Leaving, get_shipment, heats_of_lots, leavings, shipments_page

__all__ = [
    "Candidate",
    "Cargo",
    "Leaving",
    "ReadyCustomer",
    "ReadyDelivery",
    "get_shipment",
    "heats_of_lots",
    "leavings",
    "load_cargo",
    "ready_for",
    "ready_to_ship",
    "share_of",
    "shared_out",
    "shipments_page",
]
