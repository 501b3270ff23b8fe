"""Form fields whose messages say what was expected, and which keep what a person typed clean of stray characters."""

import unicodedata
from datetime import date
from decimal import Decimal
from typing import Any

from wtforms.fields import DateField, DecimalField, IntegerField, StringField, TextAreaField
from wtforms.validators import Optional

from app.shared.typed import LARGEST_WHOLE, decimal_number, plain, whole_number
from app.shared.words import gettext

EARLIEST_DAY = date(1970, 1, 1)
LATEST_DAY = date(2199, 12, 31)


def one_line(text: str | None) -> str:
    """Return ``text`` as one clean line: composed letters, no control characters, single blanks, none at the ends."""
    return " ".join("".join(map(_visible, unicodedata.normalize("NFC", text or ""))).split())


def several_lines(text: str | None) -> str:
    """Return ``text`` with plain line ends, each line clean as ``one_line``, without blank lines at the ends."""
    lines = (text or "").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(one_line(line) for line in lines).strip("\n")


def _visible(character: str) -> str:
    return " " if unicodedata.category(character) in {"Cc", "Cs", "Zl", "Zp"} else character


class MayBeBlank(Optional):
    """Let a field be blank without calling it optional: whether it may be depends on what else is typed or chosen."""

    def __init__(self) -> None:
        super().__init__()
        self.field_flags = {}


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
    """A whole number from ``least`` to ``most``; commas may group its thousands."""

    def __init__(
        self, label: Any = None, validators: Any = None, *, least: int = 0, most: int = LARGEST_WHOLE, **options: Any
    ) -> None:
        super().__init__(label, validators, **options)
        self.least = least
        self.most = most

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number.

        Raises:
            TypedError: it is not a whole number in the range.
        """
        self.data = None
        if valuelist:
            self.data = whole_number(str(valuelist[0]), least=self.least, most=self.most)


class AmountField(DecimalField):
    """An exact decimal number from 0 to ``most`` with at most ``digits`` decimal places, never rounded."""

    def __init__(
        self, label: Any = None, validators: Any = None, *, digits: int, most: int = LARGEST_WHOLE, **options: Any
    ) -> None:
        super().__init__(label, validators, places=None, **options)
        self.digits = digits
        self.most = most

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number.

        Raises:
            TypedError: it is not a number in the range, or has more places.
        """
        self.data = None
        if valuelist:
            self.data = decimal_number(str(valuelist[0]), places=self.digits, most=self.most)

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else plain(Decimal(self.data))


class DayField(DateField):
    """A day between 1970 and 2199."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the day.

        Raises:
            ValueError: it is not a day, or too far from the present to be meant.
        """
        self.data = None
        if valuelist:
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
