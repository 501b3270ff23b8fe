"""The verbs of shipping."""

from app.shipping.services.inputs import MOST_PIECES, NewShipment, NewShipmentLine
from app.shipping.services.ship import ship
from app.shipping.services.take_back import take_back_shipment

__all__ = ["MOST_PIECES", "NewShipment", "NewShipmentLine", "ship", "take_back_shipment"]
