"""A drift within the run of a lot, told before anything is out."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.core.quality.drift import LEAST_READINGS, Drift, find_drift
from app.core.quality.errors import BadInputError
from app.core.quality.tolerances import Limits
from app.lots.models import Lot
from app.quality.models import Reading


@dataclass(frozen=True, slots=True)
class RunDrift:
    """A drift within the run of one lot that ends at a limit.

    Attributes:
        drift: the line through its readings, and where it crosses.
        crosses_at: the piece at which the line reaches a limit.
        last_piece: the last piece that was measured.
    """

    drift: Drift
    crosses_at: int
    last_piece: int

    @property
    def strays_from(self) -> int:
        """Return the piece from which on single ones may be out: at the latest the one where the line is."""
        return min(self.drift.strays_from or self.crosses_at, self.crosses_at)

    def within(self, lot: Lot) -> bool:
        """Say whether it may put pieces of that lot out."""
        return self.strays_from <= lot.started


def drift_of_last_lot(readings: Sequence[Reading], limits: Limits) -> RunDrift | None:
    """Return the drift of the lot that was measured last; None where there is none that ends at a limit."""
    if not readings:
        return None
    last = readings[-1].characteristic_id
    return drift_of([each for each in readings if each.characteristic_id == last], limits)


def drift_of(run: Sequence[Reading], limits: Limits) -> RunDrift | None:
    """Return the drift of the readings of one lot; None where there is none that ends at a limit."""
    read = [(each.piece, Decimal(each.typed)) for each in run if each.value is not None]
    if len(read) < LEAST_READINGS:
        return None
    try:
        drift = find_drift(read, limits)
    except BadInputError:
        return None
    if drift.crosses_at is None:
        return None
    return RunDrift(drift, drift.crosses_at, max(piece for piece, _ in read))
