"""Single sampling plans for normal inspection by lot size (ISO 2859-1, general inspection level II).

The tables are the ones MIL-STD-105E, ANSI/ASQ Z1.4 and ISO 2859-1 share. Code letters and sample sizes, and the rows D
to L for quality limits 0.65 to 6.5, were compared with print; the rest follows the same diagonals, from memory.
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.core.quality.errors import BadInputError, Fault, Figure, at_least

LETTERS = "ABCDEFGHJKLMNPQR"
"""Code letters; R is reached only through an arrow from Q."""

SAMPLE_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)

QUALITY_LIMITS = tuple(
    Decimal(each)
    for each in "0.010 0.015 0.025 0.040 0.065 0.10 0.15 0.25 0.40 0.65 1.0 1.5 2.5 4.0 6.5 10".split()  # noqa: SIM905
)
"""Acceptance quality limits in percent nonconforming; above 10 the standard counts nonconformities, not pieces."""

_LARGEST_LOTS = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)


class Arrow(StrEnum):
    """Where the master table points instead of giving an acceptance number: to the first plan above or below."""

    UP = "up"
    DOWN = "down"


# Along each diagonal of the master table, one letter on and one quality limit on, the entry stays the same. From the
# diagonal of the plans with acceptance number 0 on, the entries are these; before it all point to the plan below,
# behind it to the plan above.
_FIRST_DIAGONAL = 14
_ALONG = (0, Arrow.UP, Arrow.DOWN, 1, 2, 3, 5, 7, 10, 14, 21)


@dataclass(frozen=True, slots=True)
class SinglePlan:
    """Take ``size`` pieces; accept the lot with up to ``accept`` bad ones among them, reject with one more."""

    letter: str
    """Code letter of the plan used, behind all arrows."""
    size: int
    accept: int
    every_piece: bool = False
    """The plan asks for as many pieces as the lot has, or more: all are inspected, and ``size`` is the lot."""

    @property
    def reject(self) -> int:
        """The number of bad pieces that rejects the lot."""
        return self.accept + 1


def code_letter(lot: int) -> str:
    """Return the code letter of a lot of 2 pieces or more, general inspection level II.

    Source: ISO 2859-1, table 1 (MIL-STD-105E, table I).

    Raises:
        BadInputError: TOO_SMALL.
    """
    return LETTERS[bisect_left(_LARGEST_LOTS, at_least(Figure.LOT, lot, 2))]


def single_plan(lot: int, quality_limit: Decimal) -> SinglePlan:
    """Return the plan for a lot of one piece or more, its arrows followed.

    Where the sample would be the whole lot or more, every piece is inspected; so is a lot of one.

    Source: ISO 2859-1, tables 1 and 2-A (MIL-STD-105E, tables I and II-A).

    Raises:
        BadInputError: TOO_SMALL, or NO_SUCH_QUALITY_LIMIT.
    """
    check_quality_limit(quality_limit)
    letter, accept = _follow(code_letter(max(at_least(Figure.LOT, lot, 1), 2)), quality_limit)
    size = SAMPLE_SIZES[LETTERS.index(letter)]
    return SinglePlan(letter, min(size, lot), accept, every_piece=size >= lot)


def check_quality_limit(quality_limit: Decimal) -> None:
    """Check that the standard has plans for a quality limit.

    Raises:
        BadInputError: NO_SUCH_QUALITY_LIMIT.
    """
    if quality_limit not in QUALITY_LIMITS:
        raise BadInputError(Fault.NO_SUCH_QUALITY_LIMIT, value=quality_limit, known=QUALITY_LIMITS)


def sample_size(lot: int, quality_limit: Decimal) -> int:
    """Return how many pieces of a lot its single plan takes.

    Raises:
        BadInputError: as ``single_plan``.
    """
    return single_plan(lot, quality_limit).size


def table_entry(letter: str, quality_limit: Decimal) -> int | Arrow:
    """Return an entry of the master table: an acceptance number or an arrow.

    Source: ISO 2859-1, table 2-A.
    """
    row = LETTERS.index(letter)
    along = row + QUALITY_LIMITS.index(quality_limit) - _FIRST_DIAGONAL
    if along < 0:
        return Arrow.DOWN
    entry = _ALONG[along] if along < len(_ALONG) else Arrow.UP
    return Arrow.DOWN if entry is Arrow.UP and row == 0 else entry


def _follow(letter: str, quality_limit: Decimal) -> tuple[str, int]:
    entry = table_entry(letter, quality_limit)
    while isinstance(entry, Arrow):
        letter = LETTERS[LETTERS.index(letter) + (1 if entry is Arrow.DOWN else -1)]
        entry = table_entry(letter, quality_limit)
    return letter, entry
