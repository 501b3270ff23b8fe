"""How many pieces are made by now, when the last count is a while ago."""

from dataclasses import dataclass

from app.core.quality.errors import Figure, at_least


@dataclass(frozen=True, slots=True)
class PieceCount:
    """Pieces made by now, and whether that is a guess from the time gone by."""

    pieces: int
    estimated: bool


def pieces_by_now(counted: int, elapsed_ms: int, cycle_ms: int, most: int, load: int = 1) -> PieceCount:
    """Return the last count plus the loads that the time since then is enough for.

    The guess stops at ``most``. It is exact for a machine that never waits, and too high for one that does.

    Args:
        counted: pieces at the last count; zero or more.
        elapsed_ms: running time since that count; zero or more.
        cycle_ms: time of one machine cycle; above zero.
        most: pieces there can be.
        load: pieces one cycle makes.

    Raises:
        BadInputError: an argument is out of its range (TOO_SMALL).
    """
    for what, value, least in (
        (Figure.COUNTED, counted, 0),
        (Figure.ELAPSED, elapsed_ms, 0),
        (Figure.CYCLE, cycle_ms, 1),
    ):
        at_least(what, value, least)
    more = elapsed_ms // cycle_ms * at_least(Figure.LOAD, load, 1)
    guess = max(min(counted + more, most), counted)
    return PieceCount(guess, estimated=guess > counted)
