"""What can be wrong with what was given: a fault and the values that belong to it; the app makes the sentence."""

from enum import StrEnum

from app.core.measures import Number


class Fault(StrEnum):
    """Why something was refused; after each, the values that the error carries."""

    # tolerances and readings
    NOT_A_NUMBER = "not a number"  # typed
    TOO_MANY_DIGITS = "too many digits"  # before, after: the most there may be on either side of the point
    NO_LIMIT = "no limit"
    LIMITS_REVERSED = "limits reversed"  # lower, upper
    NOMINAL_OUTSIDE = "nominal outside"  # nominal, lower, upper
    NO_NOMINAL = "no nominal"
    NO_SUCH_CLASS = "no such tolerance class"  # name, known
    NO_SUCH_SIZE = "no such size"  # size_mm, above_mm, up_to_mm

    # whole numbers, shares and settings
    TOO_SMALL = "too small"  # what, value, least
    TOO_LARGE = "too large"  # what, value, most
    NOT_BETWEEN = "not between"  # what, value, low, high
    NO_SUCH_PIECE = "no such piece"  # piece, pieces
    OUT_OF_ORDER = "out of order"  # earlier, later

    # charts, capability, trends
    TOO_FEW = "too few"  # what, count, least
    UNEQUAL_SUBGROUPS = "unequal subgroups"  # index, size, expected
    EMPTY_BASE = "base period without enough data"  # points, least
    NO_SPREAD = "no spread"
    ONE_PIECE = "one piece only"

    # gauge studies, sampling
    UNBALANCED = "unbalanced study"  # appraiser, part, trials, expected
    NO_SUCH_QUALITY_LIMIT = "no such quality limit"  # value, known


class Figure(StrEnum):
    """A number that was given, where a fault names it as ``what``."""

    STEP = "step"
    TIMES = "times"
    SHIFT = "shift"
    PIECES = "pieces"
    MADE = "made"
    COUNTED = "counted"
    ELAPSED = "elapsed"
    CYCLE = "cycle"
    LOAD = "load"
    LOT = "lot"
    SAMPLE = "sample"
    ACCEPT = "accept"
    BAD = "bad"
    BAD_SHARE = "bad share"
    SHARE = "share"
    CONFIDENCE = "confidence"
    CHANCE = "chance"
    SUBGROUP = "subgroup"
    GROUPS = "groups"
    READINGS = "readings"
    LEAST = "least"
    SIGNIFICANCE = "significance"
    WEIGHT = "weight"
    WIDTH = "width"
    APPRAISERS = "appraisers"
    PARTS = "parts"
    TRIALS = "trials"
    POOLING = "pooling"
    POSITIONS = "positions"
    VALUES = "values"
    TICKS = "ticks"


class BadInputError(ValueError):
    """What was given makes no sense.

    Attributes:
        fault: why.
        values: what was given and what was expected, by the names listed at the fault.
    """

    def __init__(self, fault: Fault, **values: object) -> None:
        super().__init__(fault, values)
        self.fault = fault
        self.values = values

    def __str__(self) -> str:
        """Return a line for a log; pages show a sentence of their own."""
        named = ", ".join(f"{name} {value!s:.40}" for name, value in self.values.items())
        return f"{self.fault}: {named}" if named else str(self.fault)


def at_least(what: Figure, value: int, least: int) -> int:
    """Return ``value``.

    Raises:
        BadInputError: it is below ``least`` (TOO_SMALL).
    """
    if value < least:
        raise BadInputError(Fault.TOO_SMALL, what=what, value=value, least=least)
    return value


def at_most(what: Figure, value: int, most: int) -> int:
    """Return ``value``.

    Raises:
        BadInputError: it is above ``most`` (TOO_LARGE).
    """
    if value > most:
        raise BadInputError(Fault.TOO_LARGE, what=what, value=value, most=most)
    return value


def within(what: Figure, value: Number | float, low: Number, high: Number) -> None:
    """Check that a value lies between two others or is one of them.

    Raises:
        BadInputError: it does not, or is no number (NOT_BETWEEN).
    """
    if value != value or not low <= value <= high:  # noqa: PLR0124 - what differs from itself is no number
        raise BadInputError(Fault.NOT_BETWEEN, what=what, value=value, low=low, high=high)


def inside(what: Figure, value: Number | float, low: Number, high: Number) -> None:
    """Check that a value lies between two others and is neither.

    Raises:
        BadInputError: it does not, or is no number (NOT_BETWEEN).
    """
    within(what, value, low, high)
    if value in (low, high):
        raise BadInputError(Fault.NOT_BETWEEN, what=what, value=value, low=low, high=high)
