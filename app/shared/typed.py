"""Numbers, times and weights as people type them, in a form or in a table's cell; what is not clear is refused.

A number is never guessed: digits that cannot be kept, a comma that may be read two ways or a time without its unit get
a message that says how to write it.
"""

import re
from decimal import Decimal
from fractions import Fraction

from app.core.quality.errors import BadInputError, Fault
from app.core.quality.readings import read_value
from app.shared.errors import PlainError
from app.shared.units import UnitSystem, grams_from, weight_of
from app.shared.words import gettext

LARGEST_WHOLE = 1_000_000
LONGEST_MS = 1000 * 3_600_000
HEAVIEST_GRAMS = 100_000_000

_WHOLE = re.compile(r"[+-]?(\d{1,99}|\d{1,3}(,\d{3}){1,32})")  # too large a number is told so, not that it is none
_DECIMAL = re.compile(r"[+-]?(\d{1,99}|\d{1,3}(,\d{3}){1,32}(?=\.))(\.\d{0,12})?|[+-]?\.\d{1,12}")
_CLOCK = re.compile(r"(?:(\d{1,4}):)?(\d{1,6}):(\d{2}(?:\.\d{1,6})?)")
_WITH_UNIT = re.compile(r"(.*?)\s*([a-z]+)\.?")
_MS_PER = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1000),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 60_000),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3_600_000),
}
_GRAMS_PER = {
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), UnitSystem.INCH.grams),
    **dict.fromkeys(("kg", "kgs"), Fraction(1000)),
    **dict.fromkeys(("g", "gram", "grams"), Fraction(1)),
}


class TypedError(PlainError, ValueError):
    """What was typed cannot be taken as it stands; a ValueError too, so that a form puts it beside its field."""


def whole_number(text: str, *, least: int = 0, most: int = LARGEST_WHOLE) -> int:
    """Return a typed whole number; commas between groups of three digits are allowed.

    Raises:
        TypedError: it is not one, or it is not from ``least`` to ``most``.
    """
    typed = text.strip()
    if not _WHOLE.fullmatch(typed):
        raise TypedError(gettext("Type a whole number, such as 12; “%(typed)s” is not one.", typed=_short(typed)))
    value = int(typed.replace(",", ""))
    _refuse_outside(value, least, most)
    return value


def decimal_number(text: str, *, places: int, least: int = 0, most: int = LARGEST_WHOLE) -> Decimal:
    """Return a typed decimal number with its digits as written.

    Raises:
        TypedError: it is not one, has more than ``places`` decimal places, or is not from ``least`` to ``most``.
    """
    typed = text.strip()
    if not _DECIMAL.fullmatch(typed):
        raise TypedError(_why_no_decimal(typed))
    value = Decimal(typed.replace(",", ""))
    if _places(value) > places:
        raise TypedError(gettext("Type at most %(places)s digits after the point.", places=places))
    _refuse_outside(value, least, most)
    return value


def dimension(text: str) -> Decimal:
    """Return a typed number, which may be negative, with its digits as written.

    Raises:
        TypedError: it is not one, or has more digits than a dimension has.
    """
    try:
        return read_value(text)
    except BadInputError as error:
        raise TypedError(digits_words(error)) from None


def digits_words(error: BadInputError) -> str:
    """Return in words why something typed is no number that can be kept."""
    if error.fault is Fault.TOO_MANY_DIGITS:
        return gettext(
            "Type at most %(before)s digits before the point and %(after)s after it.",
            before=error.values["before"],
            after=error.values["after"],
        )
    return gettext(
        "Type a number with a decimal point, such as 0.5003; “%(typed)s” is not one.",
        typed=_short(str(error.values.get("typed", ""))),
    )


def time_ms(text: str) -> int:
    """Return a typed time in milliseconds: ``1:30``, ``1:05:00``, ``90``, ``90 s``, ``1.5 min`` or ``2 h``.

    A whole number without a unit is seconds. One with a point could be seconds or minutes, so it needs its unit.

    Raises:
        TypedError: it is none of these, is finer than a millisecond, or longer than 1000 hours.
    """
    typed = text.strip().lower()
    if ":" in typed:
        return _bounded_ms(_clock_ms(typed))
    number, per_unit = _split_unit(typed)
    if per_unit is None and "." in number:
        raise TypedError(
            gettext("Say which unit: “%(typed)s min” or “%(typed)s s”, or write it as 1:30.", typed=_short(number))
        )
    return _bounded_ms(_time_number(number) * (per_unit or 1000))


def minutes_s(text: str) -> int:
    """Return a time typed in minutes, such as ``45`` or ``7.5``, in whole seconds; ``2 h`` says its unit.

    Raises:
        TypedError: it is not such a time, is finer than a second, or longer than 1000 hours.
    """
    typed = text.strip().lower()
    if ":" in typed:
        raise TypedError(gettext("Type minutes, such as 90 or 7.5, or hours, such as 1.5 h."))
    number, per_unit = _split_unit(typed)
    ms = _bounded_ms(_time_number(number) * (per_unit or 60_000))
    if ms % 1000:
        raise TypedError(gettext("That is finer than a second; type 0.5 for 30 seconds."))
    return ms // 1000


def weight_grams(text: str, units: UnitSystem) -> int:
    """Return a typed weight in whole grams: in the shop's unit, or with ``lb``, ``kg`` or ``g`` behind it.

    Raises:
        TypedError: it is not a weight, weighs less than half a gram but more than nothing, or over 100 t.
    """
    number, per_unit = _split_weight(text.strip().lower())
    weight = decimal_number(number, places=6, most=HEAVIEST_GRAMS)
    grams = grams_from(weight, units) if per_unit is None else round(Fraction(weight) * per_unit)
    if grams > HEAVIEST_GRAMS:
        raise TypedError(gettext("That is more than 100 tonnes."))
    if weight and not grams:
        raise TypedError(gettext("That is less than half a gram; leave it empty where it is too light to matter."))
    return grams


def typed_ms(ms: int) -> str:
    """Write milliseconds as ``time_ms`` reads them: ``45 s``, ``12.5 s``, ``1:30``, ``1:05:00``."""
    seconds, rest = divmod(ms, 1000)
    fraction = f".{rest:03}".rstrip("0") if rest else ""
    if seconds < 60:
        return f"{seconds}{fraction} s"
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    clock = f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"
    return clock + fraction


def typed_minutes(seconds: int) -> str:
    """Write seconds as ``minutes_s`` reads them: plain minutes, or ``50 s`` where minutes would not come out even."""
    minutes = Fraction(seconds, 60)
    exact = Decimal(seconds) / 60
    return plain(exact) if Fraction(exact) == minutes else f"{seconds} s"


def typed_weight(grams: int, units: UnitSystem) -> str:
    """Write grams in the shop's unit, with as many digits as ``weight_grams`` needs to give the same grams."""
    exact_enough = (weight_of(grams, units, places) for places in range(4))
    return plain(next(weight for weight in exact_enough if grams_from(weight, units) == grams))


def plain(value: Decimal) -> str:
    """Write a decimal without an exponent and without zeros at its end."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _short(typed: str) -> str:
    return typed if len(typed) <= 30 else typed[:29] + "…"


def _refuse_outside(value: int | Decimal, least: int, most: int) -> None:
    if value < least:
        raise TypedError(gettext("It must be %(least)s or more.", least=f"{least:,}"))
    if value > most:
        raise TypedError(gettext("It must be %(most)s or less.", most=f"{most:,}"))


def _why_no_decimal(typed: str) -> str:
    if re.fullmatch(r"[+-]?[\d.]+,\d+|[+-]?,\d+", typed):
        return gettext(
            "The comma in “%(typed)s” can be read two ways: write decimals with a point, thousands without a mark.",
            typed=_short(typed),
        )
    return gettext("Type a number, such as 12.5; “%(typed)s” is not one.", typed=_short(typed))


def _places(value: Decimal) -> int:
    exponent = value.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _clock_ms(typed: str) -> Fraction:
    match = _CLOCK.fullmatch(typed)
    if not match:
        raise TypedError(
            gettext("Write minutes and seconds as 1:05, hours as 1:05:00; “%(typed)s” is neither.", typed=_short(typed))
        )
    hours, minutes, seconds = int(match[1] or 0), int(match[2]), Fraction(match[3])
    if seconds >= 60 or (match[1] and minutes >= 60):
        raise TypedError(gettext("After a colon stand 00 to 59: 90 seconds are 1:30, 90 minutes are 1:30:00."))
    return (hours * 3600 + minutes * 60 + seconds) * 1000


def _split_unit(typed: str) -> tuple[str, int | None]:
    match = _WITH_UNIT.fullmatch(typed)
    if match and match[2] in _MS_PER:
        return match[1], _MS_PER[match[2]]
    return typed, None


def _split_weight(typed: str) -> tuple[str, Fraction | None]:
    match = _WITH_UNIT.fullmatch(typed)
    if match and match[2] in _GRAMS_PER:
        return match[1], _GRAMS_PER[match[2]]
    return typed, None


def _time_number(number: str) -> Fraction:
    if not _DECIMAL.fullmatch(number) or number.startswith("-"):
        raise TypedError(
            gettext("Type a time, such as 1:30, 90 s or 1.5 min; “%(typed)s” is not one.", typed=_short(number))
        )
    return Fraction(number.replace(",", ""))


def _bounded_ms(ms: Fraction) -> int:
    if ms > LONGEST_MS:
        raise TypedError(gettext("That is longer than 1000 hours."))
    if ms.denominator != 1:
        raise TypedError(gettext("That is finer than a thousandth of a second; type fewer digits."))
    return int(ms)
