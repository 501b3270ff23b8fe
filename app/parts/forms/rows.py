"""Buttons that add, remove and move the operations of a routing being typed, before anything is stored or checked."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from werkzeug.datastructures import MultiDict

PREFIX = "operations"
ROW_BUTTONS = ("add", "remove", "up", "down", "copy")
STEP = 10
LAST_NUMBER = 999

Row = dict[str, list[str]]


@dataclass(frozen=True, slots=True)
class ButtonPressed:
    """Which button was pressed, and at which row (from 0); None as row means the end of the list."""

    name: str
    row: int | None

    @classmethod
    def among(cls, typed: Mapping[str, str]) -> "ButtonPressed | None":
        """Return the button among what was sent; None where it was the one that saves."""
        for name in ROW_BUTTONS:
            if name in typed:
                row = typed[name]
                return cls(name, int(row) if row.isascii() and row.isdigit() else None)
        return None


def rearranged(typed: MultiDict[str, str], pressed: ButtonPressed) -> MultiDict[str, str]:
    """Return what was typed with a row added, removed or moved; numbers stay where they are when rows change places."""
    rows = list(_rows(typed))
    at = len(rows) if pressed.row is None else pressed.row
    if pressed.name == "add":
        rows.insert(min(at + 1, len(rows)), {"number": [_number_between(rows, at)]})
    elif pressed.name == "remove" and at < len(rows):
        del rows[at]
    elif pressed.name == "up":
        _swap(rows, at - 1)
    elif pressed.name == "down":
        _swap(rows, at)
    rest = [(key, value) for key, value in typed.items(multi=True) if not key.startswith(f"{PREFIX}-")]
    return MultiDict([*rest, *_flat(rows)])


def _rows(typed: MultiDict[str, str]) -> Iterator[Row]:
    rows: dict[int, Row] = {}
    for key, values in typed.lists():
        prefix, _, rest = key.partition("-")
        place, _, name = rest.partition("-")
        if prefix == PREFIX and name and place.isascii() and place.isdigit():
            rows.setdefault(int(place), {})[name] = values
    for index in sorted(rows):
        yield rows[index]


def _flat(rows: list[Row]) -> Iterator[tuple[str, str]]:
    for index, row in enumerate(rows):
        for name, values in row.items():
            for value in values:
                yield f"{PREFIX}-{index}-{name}", value


def _swap(rows: list[Row], first: int) -> None:
    """Let two neighbours change places; the numbers stay in their order."""
    if 0 <= first < len(rows) - 1:
        upper, lower = rows[first], rows[first + 1]
        upper["number"], lower["number"] = lower.get("number", [""]), upper.get("number", [""])
        rows[first], rows[first + 1] = lower, upper


def _number_between(rows: list[Row], after: int) -> str:
    """Return a number for a new row below row ``after``: the next ten, or one half way; empty where none fits."""
    before = _number(rows[min(after, len(rows) - 1)]) if rows else 0
    if before is None:
        return ""
    if after + 1 >= len(rows):
        following = (before // STEP + 1) * STEP
        return str(following) if following <= LAST_NUMBER else ""
    behind = _number(rows[after + 1])
    middle = (before + behind) // 2 if behind is not None else before
    return str(middle) if middle > before else ""


def _number(row: Row) -> int | None:
    typed = row.get("number", [""])[0].strip()
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) <= 3 else None
