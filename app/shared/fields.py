"""Form fields whose messages say what was expected, and which keep what a person typed clean of stray characters."""

import re
import unicodedata
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from wtforms.fields import DateField, DecimalField, IntegerField, StringField, TextAreaField

from app.shared.words import gettext

EARLIEST_DAY = date(1970, 1, 1)
LATEST_DAY = date(2199, 12, 31)
_WHOLE = re.compile(r"[+-]?[0-9]{1,15}")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(,[0-9]{3})+")


def one_line(text: str | None) -> str:
    """Return ``text`` as one clean line: composed letters, no control characters, single blanks, none at the ends."""
    return " ".join("".join(map(_visible, unicodedata.normalize("NFC", text or ""))).split())


def several_lines(text: str | None) -> str:
    """Return ``text`` with plain line ends, each line clean as ``one_line``, without blank lines at the ends."""
    lines = (text or "").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(one_line(line) for line in lines).strip("\n")


def _visible(character: str) -> str:
    return " " if unicodedata.category(character) in {"Cc", "Cs", "Zl", "Zp"} else character


class LineField(StringField):
    """A line of text, cleaned by ``one_line``."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take the first value sent."""
        if valuelist:
            self.data = one_line(str(valuelist[0]))


class LinesField(TextAreaField):
    """A few lines of text, cleaned by ``several_lines``."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take the first value sent."""
        if valuelist:
            self.data = several_lines(str(valuelist[0]))


class WholeNumberField(IntegerField):
    """A whole number; commas may group its thousands."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number.

        Raises:
            ValueError: it is not a whole number of at most 15 digits.
        """
        if not valuelist:
            return
        typed = str(valuelist[0]).strip()
        self.data = None
        if not (_WHOLE.fullmatch(typed) or _GROUPED.fullmatch(typed)):
            raise ValueError(gettext("Enter a whole number, such as 50."))
        self.data = int(typed.replace(",", ""))


class AmountField(DecimalField):
    """An exact decimal number with at most ``places`` decimal places: digits beyond them are refused, never rounded."""

    def __init__(self, label: Any = None, validators: Any = None, *, most_places: int, **options: Any) -> None:
        super().__init__(label, validators, places=None, **options)
        self.most_places = most_places

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number.

        Raises:
            ValueError: it is not a number, or has more places.
        """
        if not valuelist:
            return
        self.data = None
        self.data = amount(str(valuelist[0]), self.most_places)

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else shown_amount(self.data)


def amount(typed: str, most_places: int) -> Decimal:
    """Return the number that ``typed`` says, exactly.

    Raises:
        ValueError: it is not a number, is too long, or has more than ``most_places`` decimal places.
    """
    try:
        number = Decimal(typed.strip())
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or "_" in typed or len(typed) > 40 or number.adjusted() > 11:
        raise ValueError(gettext("Enter a number, such as 12.50."))
    if round(number, most_places) != number:
        raise ValueError(gettext("Enter at most %(places)s decimal places.", places=most_places))
    return number


def shown_amount(number: Decimal, least_places: int = 2) -> str:
    """Show an exact number without needless zeros, but with at least ``least_places`` decimal places: ``12.50``."""
    whole, _, places = f"{number:f}".partition(".")
    return f"{whole}.{places.rstrip('0').ljust(least_places, '0')}" if least_places else f"{number.normalize():f}"


class DayField(DateField):
    """A day between 1970 and 2199."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the day.

        Raises:
            ValueError: it is not a day, or too far from the present to be meant.
        """
        if not valuelist:
            return
        self.data = None
        self.data = typed_day(str(valuelist[0]))


def typed_day(typed: str) -> date:
    """Return the day that ``typed`` says as year-month-day.

    Raises:
        ValueError: it is not a day between 1970 and 2199.
    """
    try:
        day = date.fromisoformat(typed.strip())
    except ValueError:
        raise ValueError(gettext("Enter a date as year-month-day, such as 2026-02-06.")) from None
    if not EARLIEST_DAY <= day <= LATEST_DAY:
        raise ValueError(gettext("Enter a date between 1970 and 2199."))
    return day
