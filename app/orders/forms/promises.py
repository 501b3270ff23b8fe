"""A row of the order form as it is being typed: part, revision, quantity and date, where they make sense already."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.orders.services import MOST_PIECES
from app.shared.fields import one_line, typed_day
from app.shared.typed import whole_number
from app.shared.words import gettext

_ROW = re.compile(r"(lines-[0-9]{1,3})-deliveries-[0-9]{1,3}")


@dataclass(frozen=True, slots=True)
class AskedPromise:
    """What a promise is asked for; ``target`` is the id of the element that shows the answer.

    ``customer`` is a name as typed: whoever it is may count days on the road.
    """

    target: str
    customer: str
    part: str
    revision: str
    quantity: int
    due: date

    @classmethod
    def from_arguments(cls, sent: Mapping[str, str]) -> "AskedPromise | None":
        """Read the row named by ``row``; None where something of it is missing or does not make sense yet."""
        row = _ROW.fullmatch(sent.get("row", ""))
        if row is None:
            return None
        part = one_line(sent.get(f"{row[1]}-part"))
        try:
            quantity, due = _quantity(sent, row[0]), _due(sent, row[0])
        except ValueError:
            return None
        if not part:
            return None
        customer, revision = one_line(sent.get("customer")), one_line(sent.get(f"{row[1]}-revision"))
        return cls(target_of(sent), customer, part, revision, quantity, due)


def why_no_promise(sent: Mapping[str, str]) -> str:
    """Return what is wrong with the quantity or the due date of the row named by ``row``; empty while none is typed."""
    row = _ROW.fullmatch(sent.get("row", ""))
    fields = ((_quantity, "quantity", gettext("Quantity")), (_due, "due", gettext("Due date")))
    for read, name, label in fields:
        if row is None or not sent.get(f"{row[0]}-{name}", "").strip():
            continue
        try:
            read(sent, row[0])
        except ValueError as wrong:
            return f"{label}: {wrong}"
    return ""


def _quantity(sent: Mapping[str, str], row: str) -> int:
    """Read a quantity.

    Raises:
        ValueError: it is none.
    """
    return whole_number(sent.get(f"{row}-quantity", ""), least=1, most=MOST_PIECES)


def _due(sent: Mapping[str, str], row: str) -> date:
    """Read a due date.

    Raises:
        ValueError: it is none.
    """
    return typed_day(sent.get(f"{row}-due", ""))


def target_of(sent: Mapping[str, str]) -> str:
    """Return the id of the element that shows the promise for the row named by ``row``."""
    row = _ROW.fullmatch(sent.get("row", ""))
    return f"{row[0]}-promise" if row else "promise"
