"""How an operation takes its pieces: one by one, by the load, in shared batches, from bars, or outside the shop.

Cycle, load and bar-change times are milliseconds, weights grams, times whole seconds since the Unix epoch (UTC).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SinglePiece:
    """One piece at a time, each taking ``cycle_ms``."""

    cycle_ms: int


@dataclass(frozen=True, slots=True)
class PalletLoad:
    """Up to ``pieces`` at a time on a pallet, fixture or tombstone; a load takes ``cycle_ms``, full or not.

    Loading and unloading overlap the cutting at a station with two pallets or more, and come on top of it at others.
    """

    pieces: int
    cycle_ms: int
    load_ms: int = 0
    unload_ms: int = 0


@dataclass(frozen=True, slots=True)
class Batch:
    """A load of fixed time that lots with the same ``recipe`` may share, bounded by pieces, by weight or by both.

    A lot that is larger than one batch runs as several. A batch with room left waits at most ``wait_s`` seconds, from
    when its first lot was ready, for a lot that is already expected by then and fits.
    """

    recipe: str
    time_ms: int
    max_pieces: int | None = None
    max_weight_g: int | None = None
    piece_weight_g: int = 0
    wait_s: int = 0


@dataclass(frozen=True, slots=True)
class BarFed:
    """Pieces cut from bars, one after another; each bar that is begun, the first included, takes ``bar_change_ms``."""

    pieces_per_bar: int
    cycle_ms: int
    bar_change_ms: int = 0


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Work done elsewhere, all pieces together: back after ``days``, at the first open hour of the receiving calendar.

    ``working_days`` counts only days on which the shop receives; else every day of the calendar counts.
    """

    days: int
    working_days: bool = False


@dataclass(frozen=True, slots=True)
class Arrival:
    """``pieces`` expected at ``time``; ``guess`` when nobody has confirmed it. A time that has passed means now.

    Arrivals of several lots with the same ``order`` come together, so that who has it sooner has it sooner for all;
    without one nobody has been asked for these pieces yet.
    """

    time: int
    pieces: int
    guess: bool = False
    order: str = ""


@dataclass(frozen=True, slots=True)
class Purchase:
    """Blanks that are bought: the pieces that wait at this operation go on as they arrive, each delivery by itself.

    Pieces for which no arrival is known wait for an order.
    """

    arrivals: tuple[Arrival, ...] = ()


Taking = SinglePiece | PalletLoad | Batch | BarFed | LeadTime | Purchase
"""How an operation takes its pieces."""
