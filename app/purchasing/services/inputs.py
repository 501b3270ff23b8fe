"""What a person asks for when they order material or issue it, as typed values."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.purchasing.queries import Key


@dataclass(frozen=True, slots=True)
class Share:
    """Pieces for a lot; with 0 the row says nothing."""

    lot_id: int
    pieces: int


@dataclass(frozen=True, slots=True)
class PurchaseLine:
    """One article and the lots it is for.

    ``units`` are the vendor's: pieces, plates or bars; left out, as many as the lots need. With 0 units and no lot the
    row is no part of the purchase. A price or expected day that is left out comes from the article.
    """

    key: Key
    shares: tuple[Share, ...] = ()
    units: int | None = None
    unit_price: Decimal | None = None
    expected_on: date | None = None

    @property
    def meant(self) -> int:
        """Return how many pieces are meant for lots."""
        return sum(share.pieces for share in self.shares)


@dataclass(frozen=True, slots=True)
class NewPurchase:
    """A purchase from one vendor, by name; ``new_vendor`` allows a name that is no vendor's yet."""

    vendor: str
    ordered_on: date
    lines: tuple[PurchaseLine, ...]
    their_number: str = ""
    new_vendor: bool = False
