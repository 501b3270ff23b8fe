"""The codes that stand on travelers, badges, receipts and stations.

A code is a letter for what it names, a number of fixed length and an ISO 7064 MOD 37-2 check character: ``L00417C``.
All of it is A-Z and 0-9, at most ten characters, so that it fits a Code 128 symbol a handheld scanner reads and can be
typed with gloves on. Numbers whose check character would be ``*`` are never given out.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from app.core.check_character import check_character, is_valid


class CodeKind(StrEnum):
    """What a code names; the value is the code's first letter."""

    LOT = "L"
    OPERATION = "P"
    BADGE = "B"
    RECEIPT = "R"
    STATION = "S"

    @property
    def digits(self) -> int:
        """How many digits the number has."""
        return _DIGITS[self]

    @property
    def length(self) -> int:
        """How many characters a whole code has: letter, digits, check character."""
        return self.digits + 2

    @property
    def highest_number(self) -> int:
        """The largest number that the digits hold; it may be one that is skipped."""
        return int(10**self.digits) - 1


_DIGITS = {CodeKind.LOT: 5, CodeKind.OPERATION: 7, CodeKind.BADGE: 6, CodeKind.RECEIPT: 5, CodeKind.STATION: 3}

PATTERN = f"(?:{'|'.join(f'{kind.value}[0-9]{{{kind.digits}}}' for kind in CodeKind)})[0-9A-Z]"
"""Source of a regular expression for a bare code in capitals, without anchors; also valid in JavaScript and in the
``pattern`` attribute of an input. It does not check the check character."""

_BARE_CODE = re.compile(PATTERN)


@dataclass(frozen=True, slots=True)
class ScanCode:
    """What a code says: the number of a lot, operation, badge, receipt or station."""

    kind: CodeKind
    number: int

    def __str__(self) -> str:
        """Return the code as printed."""
        return format_code(self.kind, self.number)


class CodeError(ValueError):
    """A code that cannot be read or made; the words for the person who scanned it are the caller's."""


class NotOurCodeError(CodeError):
    """The text has not the form of any of our codes."""

    def __init__(self, text: str) -> None:
        self.text = text
        super().__init__(f"Not one of our codes: {text!r}.")


class MistypedCodeError(CodeError):
    """The text has the form of a code, but its check character belongs to another one."""

    def __init__(self, text: str, kind: CodeKind) -> None:
        self.text = text
        self.kind = kind
        super().__init__(f"The check character does not match: {text!r}.")


class NumberTooLargeError(CodeError):
    """The number has more digits than the codes of its kind hold."""

    def __init__(self, kind: CodeKind, number: int) -> None:
        self.kind = kind
        self.number = number
        super().__init__(
            f"The number {number} is too large for {kind.name.lower()} codes: the highest is {kind.highest_number}."
        )


def format_code(kind: CodeKind, number: int) -> str:
    """Return the code for a number that ``next_number`` gave.

    Raises:
        NumberTooLargeError: it does not fit the digits of this kind.
        CodeError: it is below 1, or one of the numbers that are skipped.
    """
    body = _body(kind, number)
    check = check_character(body)
    if check == "*":
        raise CodeError(f"The number {number} is skipped for {kind.name.lower()} codes: use the next one.")
    return body + check


def next_number(kind: CodeKind, after: int) -> int:
    """Return the lowest number above ``after`` that has a code; 0 gives the first.

    Raises:
        NumberTooLargeError: all numbers of this kind are used up.
        CodeError: ``after`` is negative.
    """
    number = after + 1
    while check_character(_body(kind, number)) == "*":
        number += 1
    return number


def parse_code(text: str) -> ScanCode:
    """Read a code as scanned or typed: bare, or a link whose last path segment is the code.

    Small letters and blanks around it are accepted. The host of a link is not looked at, so that paper outlives a
    change of the shop's address.

    Raises:
        NotOurCodeError: it has not the form of a code.
        MistypedCodeError: it has, but its check character does not match.
    """
    given = text.strip()
    # upper() makes ASCII capitals of a few foreign letters, which would then pass for ours
    code = _last_segment(given).upper() if given.isascii() else ""
    if not _BARE_CODE.fullmatch(code):
        raise NotOurCodeError(given)
    kind, number = CodeKind(code[0]), int(code[1:-1])
    if not is_valid(code):
        raise MistypedCodeError(code, kind)
    if number == 0:
        raise NotOurCodeError(given)
    return ScanCode(kind, number)


def _body(kind: CodeKind, number: int) -> str:
    if number < 1:
        raise CodeError(f"The number of a {kind.name.lower()} code starts at 1, not at {number}.")
    if number > kind.highest_number:
        raise NumberTooLargeError(kind, number)
    return f"{kind.value}{number:0{kind.digits}}"


def _last_segment(link: str) -> str:
    path = re.split("[?#]", link, maxsplit=1)[0]
    return path.rstrip("/").rpartition("/")[2]
