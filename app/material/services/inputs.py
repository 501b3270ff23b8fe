"""What a person asks for when they buy, receive or correct, as typed values."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.material.models import Origin
from app.parts.models import BlankForm

MOST_UNITS = 100_000
MOST_PIECES = 1_000_000
HIGHEST_PRICE = 10_000_000


@dataclass(frozen=True, slots=True)
class NewVendor:
    """A vendor as typed."""

    name: str
    contact: str = ""
    active: bool = True


@dataclass(frozen=True, slots=True)
class NewMaterialLine:
    """Blanks of a revision, or a bought component, in the vendor's unit.

    What is left out comes from the revision: its unit, how many pieces one unit gives, its price, and as expected date
    the day of the order plus its lead time in calendar days, moved to a working day. A component is bought by the
    piece, with the price and lead time of its current revision.
    """

    units: int
    revision_id: int | None = None
    part_id: int | None = None
    unit: BlankForm | None = None
    pieces_per_unit: int | None = None
    unit_price: Decimal | None = None
    expected_on: date | None = None


@dataclass(frozen=True, slots=True)
class NewMaterialOrder:
    """A purchase from one vendor."""

    vendor_id: int
    ordered_on: date
    lines: tuple[NewMaterialLine, ...]
    their_number: str = ""


@dataclass(frozen=True, slots=True)
class NewReceipt:
    """What came in at one time under one heat, counted in parts.

    With ``line_id`` it is of a purchase, and what it is comes from there. Without, it is blanks of a revision or a
    bought component that came some other way.
    """

    pieces: int
    received_on: date
    line_id: int | None = None
    revision_id: int | None = None
    part_id: int | None = None
    heat: str = ""
    rejected: int = 0
    reject_reason: str = ""
    origin: Origin = Origin.BOUGHT
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReceiptChange:
    """What a receipt should have said, and why it did not."""

    pieces: int
    rejected: int
    heat: str
    reason: str
    reject_reason: str = ""
