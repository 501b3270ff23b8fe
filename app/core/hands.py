"""When a job that is open at a station will want somebody's hands: at the next load or bar, and at its end.

All figures are seconds of work from now, reckoned from the cycle times, the pieces of the whole run and the work that
is behind it. A job that is behind its time wants hands now.
"""

from typing import NamedTuple

from app.core.planning.takings import done_ms, run_seconds, seconds
from app.core.shop import BarFed, PalletLoad, Station, Taking


class Hands(NamedTuple):
    """Seconds of work until the next load or bar change (None: none before the end), and until all pieces are done."""

    next_load_s: int | None
    end_s: int


def time_to_hands(taking: Taking, station: Station, pieces: int, worked_s: int) -> Hands:
    """Return when a run of ``pieces``, one or more, wants hands next, after ``worked_s`` seconds of it."""
    end_s = max(0, run_seconds(taking, station, pieces) - worked_s)
    size = _load_size(taking)
    if size is None or pieces <= size:
        return Hands(None, end_s)
    for done in range(size, pieces, size):
        left = seconds(done_ms(taking, station, done, pieces)) - worked_s
        if left > 0:
            return Hands(left, end_s)
    return Hands(None, end_s)


def _load_size(taking: Taking) -> int | None:
    match taking:
        case PalletLoad():
            return taking.pieces
        case BarFed():
            return taking.pieces_per_bar
        case _:
            return None
