"""How many pieces a bar gives, and how many bars or plates a lot takes."""

from dataclasses import dataclass

from app.core.measures import Number, above_zero, zero_or_more


@dataclass(frozen=True, slots=True)
class BarCut:
    """How one piece is cut from a bar; all lengths in one unit."""

    length: Number
    """Finished length of the piece; above 0."""
    facing: Number
    """Length turned or milled off its ends, both together; 0 or more."""
    kerf: Number
    """Width of the saw cut or parting tool; 0 or more."""


def pieces_per_bar(bar: Number, remnant: Number, cut: BarCut) -> int:
    """Return how many pieces one bar gives: ``floor((bar - remnant) / (length + facing + kerf))``.

    Every piece is given a kerf, the last one too, as is common practice (no source): the bar end is seldom square.

    Args:
        bar: length of the bar, above 0, in the unit of ``cut``.
        remnant: length at its end that the chuck, the bar feeder or the vise keeps, 0 or more; no piece where it is
            longer than the bar.
        cut: how one piece is cut.

    Raises:
        ValueError: a length is out of its range.
    """
    usable = above_zero("The bar length", bar) - zero_or_more("The remnant", remnant)
    each = (
        above_zero("The piece length", cut.length)
        + zero_or_more("The facing allowance", cut.facing)
        + zero_or_more("The kerf", cut.kerf)
    )
    return max(usable // each, 0)


def stock_needed(pieces: int, pieces_each: int) -> int:
    """Return how many bars or plates ``pieces`` pieces take when each gives ``pieces_each``.

    Raises:
        ValueError: ``pieces`` is negative or ``pieces_each`` is below 1.
    """
    if pieces < 0:
        raise ValueError(f"The pieces wanted must be 0 or more, not {pieces}.")
    if pieces_each < 1:
        raise ValueError("The piece does not fit: a bar or plate must give at least one piece.")
    return -(-pieces // pieces_each)
