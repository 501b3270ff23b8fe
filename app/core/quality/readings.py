"""A reading as it is typed or sent by a gauge: read exactly, and questioned where it looks like a slip."""

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from enum import StrEnum
from fractions import Fraction

from app.core.measures import MM_PER_INCH, rounded
from app.core.quality.errors import BadInputError, Fault
from app.core.quality.tolerances import DIGITS_AFTER, DIGITS_BEFORE, Limits, checked

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_LONGEST = 2 * (DIGITS_BEFORE + DIGITS_AFTER)
_EXACT = Context(prec=2 * (DIGITS_BEFORE + DIGITS_AFTER))
_MM = rounded(MM_PER_INCH, 1)
_POWERS = (-1, 1, -2, 2, -3, 3, -4, 4)
_ONE_SIDED_REACH = 5


class Slip(StrEnum):
    """What may have gone wrong with a reading that lies far out."""

    OTHER_UNIT = "other unit"
    POINT_MOVED = "point moved"


@dataclass(frozen=True, slots=True)
class Suspicion:
    """A reading that would make sense if it were something else."""

    slip: Slip
    meant: Decimal
    """What it would then be: exact, but for millimetres in inches, which go to one place more than the limits."""


def read_value(typed: str) -> Decimal:
    """Return a typed value with its digits as written: sign, digits and one decimal point, nothing else.

    Raises:
        BadInputError: NOT_A_NUMBER, TOO_MANY_DIGITS.
    """
    text = typed.strip()
    if len(text) > _LONGEST and re.fullmatch(_NUMBER, text):
        raise BadInputError(Fault.TOO_MANY_DIGITS, before=DIGITS_BEFORE, after=DIGITS_AFTER)
    if not re.fullmatch(_NUMBER, text):
        raise BadInputError(Fault.NOT_A_NUMBER, typed=typed[:_LONGEST])
    return checked(Decimal(text))


def read_deviation(typed: str, limits: Limits) -> Decimal:
    """Return the value of a typed deviation from the nominal, counted in the last place of nominal and limits.

    ``+3`` at 0.500 with limits 0.4995 and 0.5005 is 0.5003; ``-2.5`` is 0.499 75.

    Raises:
        BadInputError: NOT_A_NUMBER, TOO_MANY_DIGITS, or NO_NOMINAL to deviate from.
    """
    return value_of(read_value(typed), limits)


def value_of(deviation: Decimal, limits: Limits) -> Decimal:
    """Return the value that lies ``deviation`` units of the last place from the nominal.

    Raises:
        BadInputError: NO_NOMINAL, TOO_MANY_DIGITS.
    """
    if limits.nominal is None:
        raise BadInputError(Fault.NO_NOMINAL)
    return checked(_EXACT.add(limits.nominal, deviation.scaleb(-limits.places, _EXACT)))


def deviation_of(value: Decimal, limits: Limits) -> Decimal:
    """Return how many units of the last place a value lies from the nominal: the inverse of ``value_of``.

    Raises:
        BadInputError: NO_NOMINAL.
    """
    if limits.nominal is None:
        raise BadInputError(Fault.NO_NOMINAL)
    return _EXACT.subtract(value, limits.nominal).scaleb(limits.places, _EXACT)


def suspicions(value: Decimal, limits: Limits) -> tuple[Suspicion, ...]:
    """Return what a reading that lies far out could have been meant as; nothing for one that is believable.

    Believable is less than a whole tolerance away from a limit: a bad piece, but one that may be. The other value must
    lie within the limits: the number in the other unit, or with its point up to four places elsewhere. With one limit
    open, or no tolerance between them, far is beyond five times the limit or below a fifth of it. The rule is ours.
    """
    if not is_far_out(value, limits):
        return ()
    meant = [(Slip.OTHER_UNIT, _EXACT.multiply(value, _MM)), (Slip.OTHER_UNIT, _in_inches(value, limits))]
    meant += [(Slip.POINT_MOVED, _EXACT.multiply(value, Decimal(10) ** power)) for power in _POWERS]
    return tuple(Suspicion(slip, each) for slip, each in meant if limits.exceeded(each) is None)


def is_far_out(value: Decimal, limits: Limits) -> bool:
    """Tell whether a reading lies further out than a piece of this process believably would."""
    limit = limits.exceeded(value)
    if limit is None:
        return False
    if limits.width:
        return abs(Fraction(value) - Fraction(limit)) > limits.width
    ratio = Fraction(value) / Fraction(limit) if limit else Fraction(0)
    return ratio > 0 and not Fraction(1, _ONE_SIDED_REACH) <= ratio <= _ONE_SIDED_REACH


def _in_inches(mm: Decimal, limits: Limits) -> Decimal:
    return rounded(Fraction(mm) / MM_PER_INCH, limits.places + 1)
