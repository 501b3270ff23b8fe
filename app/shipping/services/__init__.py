"""The verbs of shipping."""

from app.shipping.services.inputs import MOST_PIECES, NewDecision, NewReturn, NewShipment, NewShipmentLine
from app.shipping.services.returns import add_return, decide_return
from app.shipping.services.ship import ship
from app.shipping.services.take_back import take_back_shipment

__all__ = [
    "MOST_PIECES",
    "NewDecision",
    "NewReturn",
    "NewShipment",
    "NewShipmentLine",
    "add_return",
    "decide_return",
    "ship",
    "take_back_shipment",
]
