"""What a person asks for when they ship, as typed values."""

from dataclasses import dataclass
from datetime import date

MOST_PIECES = 1_000_000


@dataclass(frozen=True, slots=True)
class NewShipmentLine:
    """Pieces of a lot that leave for a delivery; with 0 the row is not part of the shipment."""

    lot_id: int
    delivery_id: int
    pieces: int


@dataclass(frozen=True, slots=True)
class NewShipment:
    """Goods that leave for one customer. ``over_agreed``: the customer wants more than a delivery asks for."""

    customer_id: int
    shipped_on: date
    lines: tuple[NewShipmentLine, ...]
    carrier: str = ""
    note: str = ""
    over_agreed: bool = False
