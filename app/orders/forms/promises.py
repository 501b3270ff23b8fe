"""A row of the order form as it is being typed: part, revision, quantity and date, where they make sense already."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.orders.services import MOST_PIECES
from app.shared.fields import one_line, typed_day
from app.shared.typed import whole_number

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
            quantity = whole_number(sent.get(f"{row[0]}-quantity", ""), least=1, most=MOST_PIECES)
            due = typed_day(sent.get(f"{row[0]}-due", ""))
        except ValueError:
            return None
        if not part:
            return None
        customer, revision = one_line(sent.get("customer")), one_line(sent.get(f"{row[1]}-revision"))
        return cls(target_of(sent), customer, part, revision, quantity, due)


def target_of(sent: Mapping[str, str]) -> str:
    """Return the id of the element that shows the promise for the row named by ``row``."""
    row = _ROW.fullmatch(sent.get("row", ""))
    return f"{row[0]}-promise" if row else "promise"
