"""What is uncertain about a shop."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.core.chances.spreads import FIXED, STATED_SETUP, STATED_WORK, Spread
from app.core.shop import Lot
from app.core.taking import Purchase

MOST_SCRAP = 0.5


@dataclass(frozen=True, slots=True)
class Odds:
    """What is uncertain about an operation.

    Attributes:
        setup: factors of its set-up.
        work: factors of its cycle and load times.
        scrap: chance that a piece is lost there, up to a half.
        days_late: of work elsewhere and of deliveries, in whole days, equally likely; negative when early.

    Raises:
        ValueError: ``scrap`` is out of its range.
    """

    setup: Spread = STATED_SETUP
    work: Spread = STATED_WORK
    scrap: float = 0.0
    days_late: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.scrap <= MOST_SCRAP:
            raise ValueError(f"The chance of scrap must be from 0 to {MOST_SCRAP}, not {self.scrap}.")


AS_PLANNED = Odds(FIXED, FIXED)
"""Nothing is uncertain."""


@dataclass(frozen=True, slots=True)
class Breakdowns:
    """How a station breaks down.

    Attributes:
        mean_s: attended seconds between two breakdowns, on the average.
        repairs_s: how long repairs took, on the clock; all equally likely.

    Raises:
        ValueError: a figure is not above zero, or no repair is given.
    """

    mean_s: int
    repairs_s: tuple[int, ...]

    def __post_init__(self) -> None:
        if self.mean_s <= 0 or not self.repairs_s or min(self.repairs_s) <= 0:
            raise ValueError("Breakdowns need a time between them and repairs, all above zero.")


@dataclass(frozen=True, slots=True)
class NewOrders:
    """Orders that nobody knows yet.

    Attributes:
        mean_s: seconds between two of them, on the average.
        like: lots that they are like, in turn; those without a purchase, with all their pieces at the first operation.
            Those that are rush go first, the others by due date: as long after they come as that of the lot that they
            are like after its release.

    Raises:
        ValueError: the time is not above zero, or a lot is not as it should be.
    """

    mean_s: int
    like: tuple[Lot, ...]

    def __post_init__(self) -> None:
        if self.mean_s <= 0 or not self.like:
            raise ValueError("New orders need a time between them above zero, and lots that they are like.")
        if not all(_fresh(lot) for lot in self.like):
            raise ValueError("A new order has no purchase and all its pieces waiting at its first operation.")


def _fresh(lot: Lot) -> bool:
    begun = any(each.in_work or each.counted or each.held for each in lot.operations)
    later = any(each.waiting for each in lot.operations[1:])
    bought = any(isinstance(each.taking, Purchase) for each in lot.operations)
    return bool(lot.operations) and not (begun or later or bought)


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """What is uncertain about a shop.

    Attributes:
        operations: what is known of some operations, by the keys of lot and operation.
        usual: what holds for all others.
        stations: by their keys, those that may break down.
        orders: those that nobody knows yet.
        together: factors of all times of a replication: good and bad weeks.
    """

    operations: Mapping[tuple[str, str], Odds] = field(default_factory=dict)
    usual: Odds = Odds()
    stations: Mapping[str, Breakdowns] = field(default_factory=dict)
    orders: NewOrders | None = None
    together: Spread = FIXED

    def of(self, lot: str, operation: str) -> Odds:
        """Return what is uncertain about an operation."""
        return self.operations.get((lot, operation), self.usual)


CERTAIN = Uncertainty(usual=AS_PLANNED)
"""Nothing is uncertain: every replication is the plan."""
