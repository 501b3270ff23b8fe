"""What can be refused about control plans, and the core's faults about measuring in sentences."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from app.core.quality.errors import BadInputError, Fault, Figure
from app.shared.errors import NotFoundError, PlainError
from app.shared.typed import digits_words
from app.shared.words import gettext


class MeasuringError(PlainError):
    """Something about measuring makes no sense."""

    @classmethod
    def of(cls, error: BadInputError) -> "MeasuringError":
        """Return what the core found wrong, in a sentence that says how to mend it."""
        return cls(fault_words(error))


class CharacteristicNumberTakenError(MeasuringError):
    """Two characteristics of a revision would have the same number."""

    def __init__(self, number: int) -> None:
        super().__init__(
            gettext("The revision has a characteristic %(number)s already. Choose another number.", number=number)
        )


class NoSuchOperationError(MeasuringError):
    """The routing has no such operation."""

    def __init__(self, number: int) -> None:
        super().__init__(gettext("The routing has no operation %(number)s. Choose one that it has.", number=number))


class NominalMissingError(MeasuringError):
    """A tolerance class was given without the size it is for."""

    def __init__(self) -> None:
        super().__init__(gettext("Type the nominal size that the tolerance class is for."))


class LimitsTwiceError(MeasuringError):
    """Both limits and a tolerance class were given."""

    def __init__(self) -> None:
        super().__init__(gettext("Type limits, or a tolerance class that gives them, not both."))


class ClassNeedsMillimetersError(MeasuringError):
    """A tolerance class was given for a size that is not in millimetres."""

    def __init__(self) -> None:
        super().__init__(gettext("Tolerance classes are for sizes in mm. Set the unit to mm, or type the limits."))


class WholeNumberNeededError(MeasuringError):
    """A step or number of times is not a whole number."""

    def __init__(self) -> None:
        super().__init__(gettext("Type a whole number, such as 10."))


class CharacteristicNotFoundError(NotFoundError):
    """There is no such characteristic."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such characteristic. Choose one in the revision's control plan."))


def fault_words(error: BadInputError) -> str:
    """Return the sentence for what the core found wrong."""
    if error.fault in {Fault.NOT_A_NUMBER, Fault.TOO_MANY_DIGITS}:
        return digits_words(error)
    say = SENTENCES.get(error.fault)
    return say(error.values) if say else gettext("This makes no sense. Check what was typed.")


def _shown(value: Any) -> str:
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _listed(known: Any) -> str:
    return ", ".join(_shown(each) for each in known)


def _too_small(values: dict[str, Any]) -> str:
    if values.get("what") is Figure.READINGS:
        return gettext("There are too few readings: at least %(least)s are needed.", least=values["least"])
    return gettext("It must be %(least)s or more.", least=_shown(values["least"]))


def _too_large(values: dict[str, Any]) -> str:
    if values.get("what") is Figure.SAMPLE:
        return gettext("That takes more than %(most)s pieces: ask for less.", most=_shown(values["most"]))
    return gettext("It must be %(most)s or less.", most=_shown(values["most"]))


def _not_between(values: dict[str, Any]) -> str:
    if values.get("what") in {Figure.SHARE, Figure.CONFIDENCE}:  # typed in percent
        return gettext("Type a percentage above 0 and below 100.")
    return gettext("It must lie between %(low)s and %(high)s.", low=_shown(values["low"]), high=_shown(values["high"]))


Words = Callable[[dict[str, Any]], str]
SENTENCES: dict[Fault, Words] = {
    Fault.NO_LIMIT: lambda _values: gettext("Type a lower or an upper limit, or both."),
    Fault.LIMITS_REVERSED: lambda values: gettext(
        "The lower limit %(lower)s is above the upper limit %(upper)s. Type them the other way round.",
        lower=_shown(values["lower"]),
        upper=_shown(values["upper"]),
    ),
    Fault.NOMINAL_OUTSIDE: lambda values: gettext(
        "The nominal %(nominal)s lies outside its limits. Correct one of them, or leave the nominal out.",
        nominal=_shown(values["nominal"]),
    ),
    Fault.NO_NOMINAL: lambda _values: gettext("There is no nominal to deviate from: type the value itself."),
    Fault.NO_SUCH_CLASS: lambda values: gettext(
        "There are limits for the classes %(known)s here. For others type the limits.", known=_listed(values["known"])
    ),
    Fault.NO_SUCH_SIZE: lambda values: gettext(
        "There are limits for sizes over %(above)s up to %(up_to)s mm here. For others type the limits.",
        above=_shown(values["above_mm"]),
        up_to=_shown(values["up_to_mm"]),
    ),
    Fault.TOO_SMALL: _too_small,
    Fault.TOO_LARGE: _too_large,
    Fault.NOT_BETWEEN: _not_between,
    Fault.NO_SUCH_PIECE: lambda values: gettext(
        "The lot has %(pieces)s pieces here: there is no piece %(piece)s.",
        pieces=values["pieces"],
        piece=values["piece"],
    ),
    Fault.TOO_FEW: lambda values: gettext(
        "There are %(count)s; at least %(least)s are needed.", count=values["count"], least=values["least"]
    ),
    Fault.EMPTY_BASE: lambda values: gettext(
        "The base period has %(points)s readings; choose one with at least %(least)s.",
        points=values["points"],
        least=values["least"],
    ),
    Fault.NO_SPREAD: lambda _values: gettext("All readings are the same: nothing can be said of their spread."),
    Fault.ONE_PIECE: lambda _values: gettext("All readings are of one piece: there is no trend to see."),
    Fault.NO_SUCH_QUALITY_LIMIT: lambda values: gettext(
        "The standard has plans for these quality limits: %(known)s.", known=_listed(values["known"])
    ),
}
