"""Reading a scanned or typed code, and saying in words why one cannot be read."""

from urllib.parse import parse_qs, urlsplit

from app.core.scan_code import CodeError, CodeKind, MistypedCodeError, ScanCode, parse_code
from app.shared.errors import PlainError
from app.shared.words import gettext

LONGEST_SHOWN = 40
LONGEST_ISSUE = 6
ISSUE = "issue"
"""The word by which the link in a traveler's square code says which issue it is."""


class CodeRefusedError(PlainError):
    """What was scanned cannot be read as one of our codes, or is none that can be used here."""


def read_code(text: str) -> ScanCode:
    """Read a code as scanned or typed.

    Raises:
        CodeRefusedError: it is none of ours, or mistyped.
    """
    try:
        return parse_code(text)
    except MistypedCodeError as error:
        raise CodeRefusedError(_mistyped(error.text, error.kind)) from error
    except CodeError as error:
        raise CodeRefusedError(_not_ours(text.strip())) from error


def issue_in(text: str) -> int | None:
    """Return which issue of a traveler a scanned link is from; None for a bare code, which does not say."""
    found = parse_qs(urlsplit(text.strip()).query).get(ISSUE, [""])[0] if "?" in text else ""
    return int(found) if found.isascii() and found.isdigit() and len(found) <= LONGEST_ISSUE else None


def _mistyped(text: str, kind: CodeKind) -> str:
    counts = {5: gettext("five"), 7: gettext("seven"), 8: gettext("eight"), 9: gettext("nine")}
    return gettext(
        "%(code)s is mistyped: its last character does not match. Scan it again or type all %(count)s characters.",
        code=text,
        count=counts[kind.length],
    )


def _not_ours(text: str) -> str:
    if not text:
        return gettext("No code was read. Scan it again, or type it as it is printed.")
    shown = text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 1]}…"
    return gettext("%(code)s is not one of our codes. Scan it again, or type it as it is printed.", code=shown)
