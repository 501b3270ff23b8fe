"""What a person asks for when they order blanks or issue them, as typed values."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Share:
    """Pieces for a lot; with 0 the row says nothing."""

    lot_id: int
    pieces: int


@dataclass(frozen=True, slots=True)
class BlankLine:
    """Blanks of one revision and the lots they are for.

    ``units`` are the vendor's: pieces, plates or bars; left out, as many as the lots need. With 0 units and no lot the
    row is no part of the purchase. A price or expected day that is left out comes from the revision.
    """

    revision_id: int
    shares: tuple[Share, ...] = ()
    units: int | None = None
    unit_price: Decimal | None = None
    expected_on: date | None = None

    @property
    def meant(self) -> int:
        """Return how many pieces are meant for lots."""
        return sum(share.pieces for share in self.shares)


@dataclass(frozen=True, slots=True)
class BlankOrder:
    """A purchase of blanks from one vendor, by name; ``new_vendor`` allows a name that is no vendor's yet."""

    vendor: str
    ordered_on: date
    lines: tuple[BlankLine, ...]
    their_number: str = ""
    new_vendor: bool = False
