"""What a person asks for when they ship, as typed values."""

from dataclasses import dataclass
from datetime import date

from app.lots.services import Inspection
from app.shipping.models import Outcome

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


@dataclass(frozen=True, slots=True)
class NewReturn:
    """Pieces of a shipment's line that came back, and what is to be done with them first.

    Attributes:
        shipment_line_id: what they left with.
        pieces: how many.
        came_on: the day they were here again.
        reason: why, as the customer says.
        their_reference: the customer's own number for it.
        inspection: a plain inspection before anything else.
        operation_ids: those of the original lot's operations that are done again.
    """

    shipment_line_id: int
    pieces: int
    came_on: date
    reason: str
    their_reference: str = ""
    inspection: Inspection | None = None
    operation_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class NewDecision:
    """What is decided about pieces of a return; ``due`` is for pieces that are sent again."""

    return_id: int
    outcome: Outcome
    pieces: int
    due: date | None = None
    decided_by_id: int | None = None
    note: str = ""
