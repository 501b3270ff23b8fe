"""Limits of a characteristic and how a reading stands to them, compared exactly as written.

A limit means what is written, with nothing but zeros behind its last digit: a reading is compared with all its digits
(the absolute method of ASTM E29), so 0.500 52 is above 0.5005.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from app.core.quality.errors import BadInputError, Fault

DIGITS_BEFORE = DIGITS_AFTER = 9
"""The most digits on either side of the point: 18 in all, so that a value also fits 64 bits when stored."""

FINE_ENOUGH = 10
"""A gauge should resolve a tenth of the tolerance (the ten-to-one rule of AIAG MSA, 4th ed.; from memory)."""


class Standing(StrEnum):
    """How a reading stands to the limits of its characteristic."""

    GOOD = "good"
    BELOW = "below"
    ABOVE = "above"
    NOT_MET = "not met"


@dataclass(frozen=True, slots=True)
class Attribute:
    """A characteristic that is met or not, such as 'no burrs'."""

    def standing(self, met: bool) -> Standing:
        """Return how an answer stands."""
        return Standing.GOOD if met else Standing.NOT_MET


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of a measured characteristic, one of which may be open, in the unit of its drawing.

    Equal limits are allowed. Raises ``BadInputError``: NOT_A_NUMBER, TOO_MANY_DIGITS, NO_LIMIT, LIMITS_REVERSED,
    NOMINAL_OUTSIDE.
    """

    lower: Decimal | None = None
    upper: Decimal | None = None
    nominal: Decimal | None = None

    def __post_init__(self) -> None:
        for value in (self.lower, self.upper, self.nominal):
            if value is not None:
                checked(value)
        if self.lower is None and self.upper is None:
            raise BadInputError(Fault.NO_LIMIT)
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise BadInputError(Fault.LIMITS_REVERSED, lower=self.lower, upper=self.upper)
        if self.nominal is not None and self.standing(self.nominal) is not Standing.GOOD:
            raise BadInputError(Fault.NOMINAL_OUTSIDE, nominal=self.nominal, lower=self.lower, upper=self.upper)

    def exceeded(self, value: Decimal) -> Decimal | None:
        """Return the limit that a reading exceeds; None for a good one. A limit itself is still good.

        Source: ASTM E29, absolute method: the value is not rounded before it is compared.
        """
        if self.lower is not None and value < self.lower:
            return self.lower
        if self.upper is not None and value > self.upper:
            return self.upper
        return None

    def standing(self, value: Decimal) -> Standing:
        """Return how a reading stands, compared as ``exceeded`` does."""
        limit = self.exceeded(value)
        if limit is None:
            return Standing.GOOD
        return Standing.BELOW if value < limit else Standing.ABOVE

    @property
    def width(self) -> Fraction | None:
        """The tolerance, upper less lower limit; None where one of them is open."""
        if self.lower is None or self.upper is None:
            return None
        return Fraction(self.upper) - Fraction(self.lower)

    @property
    def places(self) -> int:
        """Decimal places of the finest of nominal and limits as written, 3 for 0.500 and 0.5."""
        written = (value for value in (self.lower, self.upper, self.nominal) if value is not None)
        return max(decimal_places(value) for value in written)


def checked(value: Decimal) -> Decimal:
    """Return a value that is finite and has no more digits than a reading or limit may have.

    Raises:
        BadInputError: NOT_A_NUMBER, TOO_MANY_DIGITS.
    """
    if not value.is_finite():
        raise BadInputError(Fault.NOT_A_NUMBER, typed=str(value))
    before = value.adjusted() + 1 if value else 0
    if before > DIGITS_BEFORE or decimal_places(value) > DIGITS_AFTER:
        raise BadInputError(Fault.TOO_MANY_DIGITS, before=DIGITS_BEFORE, after=DIGITS_AFTER)
    return value


def decimal_places(value: Decimal) -> int:
    """Return how many digits are written behind the point of a finite value."""
    exponent = value.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def bar_position(limits: Limits, value: Decimal) -> Fraction | None:
    """Return where a reading lies on the bar between its limits: 0 at the lower, 1 at the upper, beyond them outside.

    With one limit open the bar reaches from the nominal to the limit, without a nominal from zero to it, as suits a
    run-out or a flatness. None where that gives the bar no length.
    """
    low, high = _bar_ends(limits)
    return (Fraction(value) - low) / (high - low) if low < high else None


def coarsest_resolution(limits: Limits) -> Fraction | None:
    """Return the coarsest resolution that a gauge for this characteristic should have, a tenth of the tolerance.

    With one limit open the tolerance is the distance from the nominal to the limit. None where there is no tolerance
    to go by, or where it is zero.

    Source: the ten-to-one rule of AIAG MSA, 4th ed. (from memory).
    """
    if limits.width is None and limits.nominal is None:
        return None
    low, high = _bar_ends(limits)
    return (high - low) / FINE_ENOUGH or None


def _bar_ends(limits: Limits) -> tuple[Fraction, Fraction]:
    at_open_end = limits.nominal or Decimal(0)
    low = at_open_end if limits.lower is None else limits.lower
    high = at_open_end if limits.upper is None else limits.upper
    return Fraction(low), Fraction(high)


def is_fine_enough(resolution: Decimal, limits: Limits) -> bool:
    """Tell whether a gauge of this resolution (in the unit of the limits) resolves a tenth of the tolerance."""
    coarsest = coarsest_resolution(limits)
    return coarsest is None or Fraction(resolution) <= coarsest
