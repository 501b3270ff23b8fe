"""How many pieces to start so that enough good ones come out.

The model: pieces lost in setting up are gone for certain; each of the others comes out good, independently, with the
product of the operations' yields. Of ``n`` pieces started ``n - setup_loss`` count, and the good ones among them are
binomial. All set-up losses are simply added on top of the start. That is exact for what is lost at the first operation.
A piece lost in setting up a later one must have survived the earlier ones first, so there the chance given here is a
shade too high: the start is short by about ``setup loss * (1 / yield before it - 1)`` pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import MAX_EMAX, MIN_EMIN, ROUND_DOWN, Context, Decimal, localcontext
from fractions import Fraction
from itertools import accumulate
from math import ceil, prod

from app.core.measures import Number, exact

LARGEST_START = 1_000_000
"""More pieces than this are refused: the yields must be wrong, and the sum would take seconds."""

DEFAULT_CONFIDENCE = Decimal("0.95")

# Rounding: a chance is a sum of at most LARGEST_START terms, each within needed + 5 * terms roundings of the truth, so
# its error is below 1e7 units of the 59th digit, well within _MARGIN. A nearer confidence is decided in fractions.
_CONTEXT = Context(prec=60, Emin=MIN_EMIN, Emax=MAX_EMAX)
_MARGIN = Decimal("1e-50")
_NEVER = Decimal(2)
_SHOWN = Decimal("1e-12")


class StartTooLargeError(ValueError):
    """More than ``LARGEST_START`` pieces would have to be started; the yields or the quantity must be wrong."""


@dataclass(frozen=True, slots=True)
class Start:
    """The quantity to start, and what it was made of: ``quantity = needed + allowance + setup_loss``."""

    needed: int
    """Good pieces wanted."""
    allowance: int
    """Pieces added for the yields."""
    chance: Decimal
    """How likely at least ``needed`` good pieces are, rounded down to 12 places."""
    setup_losses: tuple[int, ...]
    """Pieces lost in setting up, operation by operation."""
    yields: tuple[Fraction, ...]
    """Expected yields, operation by operation."""
    confidence: Fraction
    """How likely it was asked to be."""

    @property
    def setup_loss(self) -> int:
        """Pieces lost in setting up, all operations together."""
        return sum(self.setup_losses)

    @property
    def overall_yield(self) -> Fraction:
        """Product of the yields."""
        return prod(self.yields, start=Fraction(1))

    @property
    def quantity(self) -> int:
        """Pieces to start."""
        return self.needed + self.allowance + self.setup_loss


def pieces_to_start(
    needed: int,
    setup_losses: Sequence[int],
    yields: Sequence[Number],
    confidence: Number = DEFAULT_CONFIDENCE,
) -> Start:
    """Return the smallest start that gives ``needed`` good pieces with at least the wanted confidence.

    Args:
        needed: good pieces; zero or more.
        setup_losses: pieces lost in setting up, for each operation that loses any.
        yields: expected share of good pieces, above 0 up to 1, for each operation with a yield.
        confidence: wanted chance of enough good pieces, between 0 and 1.

    Raises:
        StartTooLargeError: more than ``LARGEST_START`` pieces would be needed.
        ValueError: an argument is out of its range.
    """
    rates, wanted = _checked(needed, setup_losses, yields), _checked_confidence(confidence)
    overall = prod(rates, start=Fraction(1))
    if needed > LARGEST_START * overall:
        raise StartTooLargeError
    most = LARGEST_START - needed
    allowance, chance = _chance(needed, overall, most, _CONTEXT.subtract(_decimal(wanted), _MARGIN))
    while not _reaches(chance, wanted, needed, allowance, overall):
        if allowance >= most:
            raise StartTooLargeError
        allowance, chance = _chance(needed, overall, allowance + 1, _NEVER)
    return Start(needed, allowance, _shown(chance), tuple(setup_losses), rates, wanted)


def chance_of_enough(start: int, needed: int, setup_losses: Sequence[int], yields: Sequence[Number]) -> Decimal:
    """Return how likely ``start`` pieces give at least ``needed`` good ones, rounded down to 12 places.

    For a start that blanks at hand cap. Arguments as for ``pieces_to_start``.

    Raises:
        StartTooLargeError: ``start`` is above ``LARGEST_START``.
        ValueError: an argument is out of its range, or ``start`` is negative.
    """
    rates = _checked(needed, setup_losses, yields)
    if start > LARGEST_START:
        raise StartTooLargeError
    if start < 0:
        raise ValueError(f"The pieces started cannot be fewer than 0, but are {start}.")
    allowance = start - sum(setup_losses) - needed
    if allowance < 0:
        return Decimal(0)
    _, chance = _chance(needed, prod(rates, start=Fraction(1)), allowance, _NEVER)
    return _shown(chance)


def serial_start(needed: int, scrap_rates: Sequence[Number]) -> int:
    """Return the start that gives ``needed`` good pieces on the average, set-up losses aside.

    Serial scrap: ``needed / ((1 - d1) * (1 - d2) * ...)``, rounded up once at the end. About half of all such starts
    fall short; ``pieces_to_start`` says how many it takes to be sure.

    Source: Tompkins et al., Facilities Planning, chapter 2.

    Args:
        needed: good pieces; zero or more.
        scrap_rates: share scrapped at each operation, from 0 to below 1.

    Raises:
        ValueError: an argument is out of its range.
    """
    for rate in scrap_rates:
        if not 0 <= exact("A scrap rate", rate) < 1:
            raise ValueError(f"A scrap rate must be 0 or more and below 1 (100 %), but one is {rate}.")
    yields = _checked(needed, (), [1 - Fraction(rate) for rate in scrap_rates])
    return ceil(needed / prod(yields, start=Fraction(1)))


def _checked(needed: int, setup_losses: Sequence[int], yields: Sequence[Number]) -> tuple[Fraction, ...]:
    if needed < 0:
        raise ValueError(f"The good pieces needed cannot be fewer than 0, but are {needed}.")
    if any(loss < 0 for loss in setup_losses):
        raise ValueError(f"The pieces lost in setting up cannot be fewer than 0, but one is {min(setup_losses)}.")
    rates = tuple(exact("A yield", rate) for rate in yields)
    for rate, given in zip(rates, yields, strict=True):
        if not 0 < rate <= 1:
            raise ValueError(f"A yield must be above 0 and at most 1 (100 %), but one is {given}.")
    return rates


def _checked_confidence(confidence: Number) -> Fraction:
    wanted = exact("The confidence", confidence)
    if not 0 < wanted < 1:
        raise ValueError(f"The confidence must be between 0 and 1 (0 % and 100 %), not {confidence}.")
    return wanted


def _chance(needed: int, overall: Fraction, most: int, enough: Decimal) -> tuple[int, Decimal]:
    """Return the first allowance, at most ``most``, whose chance is ``enough``, and that chance.

    The number of pieces that it takes is negative binomial. The chance that exactly m are needed is
    C(m - 1, needed - 1) * y**needed * (1 - y)**(m - needed), from m to m + 1 a factor m * (1 - y) / (m + 1 - needed).
    """
    with localcontext(_CONTEXT):
        bad = _decimal(1 - overall)
        exactly = total = _decimal(overall) ** needed
        allowance = 0
        while allowance < most and total < enough:
            exactly = exactly * (bad * (needed + allowance)) / (allowance + 1)
            total += exactly
            allowance += 1
    return allowance, total


def _reaches(chance: Decimal, wanted: Fraction, needed: int, allowance: int, overall: Fraction) -> bool:
    difference = _CONTEXT.subtract(chance, _decimal(wanted))
    if abs(difference) > _MARGIN:
        return difference > 0
    return _exact_chance(needed, allowance, overall) >= wanted


def _exact_chance(needed: int, allowance: int, overall: Fraction) -> Fraction:
    def next_term(term: Fraction, pieces: int) -> Fraction:
        return term * pieces * (1 - overall) / (pieces + 1 - needed)

    return sum(accumulate(range(needed, needed + allowance), next_term, initial=overall**needed), start=Fraction(0))


def _decimal(value: Fraction) -> Decimal:
    return _CONTEXT.divide(Decimal(value.numerator), Decimal(value.denominator))


def _shown(chance: Decimal) -> Decimal:
    return min(_CONTEXT.add(chance, _MARGIN), Decimal(1)).quantize(_SHOWN, ROUND_DOWN, _CONTEXT)
