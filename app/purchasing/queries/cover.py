"""Who gets which blanks: what lots wait for, shared out over what is at hand and what is on order.

Blanks go to the lots they were bought for first; what is left goes to whoever is first in rank, what is at hand before
what is to come. Plain objects, so that the rule can be tried on any numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from app.lots.models import Lot
from app.material.models import MaterialOrderLine


@dataclass(slots=True)
class Supply:
    """Blanks of one purchase, or of no purchase: a ``line`` of None is stock that came some other way.

    Attributes:
        line: the purchase they are from.
        at_hand: pieces that have come in and are not issued.
        expected: pieces still to come.
        meant: pieces by the id of the lot they were bought for, less what it was issued of them.
    """

    line: MaterialOrderLine | None
    at_hand: int
    expected: int
    meant: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class Coming:
    """Pieces of a purchase that will come for a lot."""

    line: MaterialOrderLine
    pieces: int


@dataclass(slots=True)
class Need:
    """What one lot waits for, and where it will come from.

    Attributes:
        lot: the lot, with its revision and part loaded.
        wanted: blanks it waits for.
        lead_days: calendar days from ordering to having them.
        at_hand: how many of them are here and can be issued.
        coming: how many are on order, by purchase.
    """

    lot: Lot
    wanted: int
    lead_days: int = 0
    at_hand: int = 0
    coming: list[Coming] = field(default_factory=list)

    @property
    def on_order(self) -> int:
        """Return how many are on order."""
        return sum(each.pieces for each in self.coming)

    @property
    def to_order(self) -> int:
        """Return how many nobody has ordered yet."""
        return self.wanted - self.at_hand - self.on_order


def lot_rank(lot: Lot) -> tuple[Any, ...]:
    """Return what lots are ordered by where they want the same blanks, as the forecast ranks them."""
    pin = (0, lot.pin) if lot.pin is not None else (1, 0)
    due = (0, lot.due_on.toordinal()) if lot.due_on is not None else (1, 0)
    return (*pin, not lot.rush, *due, lot.released_at, lot.number)


def cover(needs: Sequence[Need], supplies: Sequence[Supply]) -> None:
    """Share the blanks of one revision among ``needs``, which stand in the order of ranks; ``supplies`` by arrival."""
    for supply in supplies:
        for need in needs:
            meant = supply.meant.get(need.lot.id, 0)
            meant -= _take_at_hand(need, supply, meant)
            _take_coming(need, supply, meant)
    for need in needs:
        for supply in supplies:
            _take_at_hand(need, supply, supply.at_hand)
    for need in needs:
        for supply in supplies:
            _take_coming(need, supply, supply.expected)


def _take_at_hand(need: Need, supply: Supply, most: int) -> int:
    pieces = min(most, need.to_order, supply.at_hand)
    need.at_hand += pieces
    supply.at_hand -= pieces
    return pieces


def _take_coming(need: Need, supply: Supply, most: int) -> None:
    pieces = min(most, need.to_order, supply.expected)
    if pieces and supply.line is not None:
        need.coming.append(Coming(supply.line, pieces))
        supply.expected -= pieces
