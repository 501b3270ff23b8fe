"""The columns of a table of orders: their names, what they hold, and an example.

Their names are part of the file format and are the same in every language.
"""

from dataclasses import dataclass

from app.shared.words import gettext

CUSTOMER, NUMBER, RECEIVED, NOTE = "Customer", "Order number", "Received", "Note"
PART, REVISION, PRICE, RUSH = "Part number", "Revision", "Price", "Rush"
QUANTITY, DUE = "Quantity", "Due"
COLUMNS = (CUSTOMER, NUMBER, RECEIVED, PART, REVISION, QUANTITY, DUE, PRICE, RUSH, NOTE)
REQUIRED = (CUSTOMER, NUMBER, PART, QUANTITY, DUE)

EXAMPLE_ROWS: tuple[tuple[str, ...], ...] = (
    ("Example Pumps", "PO-1001", "2026-01-05", "EX-100", "", "50", "2026-02-06", "12.50", "", "By their own truck"),
    ("", "", "", "EX-100", "", "50", "2026-03-06", "", "", ""),
    ("", "", "", "EX-200", "B", "200", "2026-02-13", "3.75", "yes", ""),
)


@dataclass(frozen=True, slots=True)
class ColumnHelp:
    """What a column holds, for the page that explains the table."""

    column: str
    holds: str


def column_helps() -> list[ColumnHelp]:
    """Return what each column holds, in the order of the template."""
    holds = {
        CUSTOMER: gettext("The customer's name. Empty: the row belongs to the order above."),
        NUMBER: gettext("The customer's order number. Empty: the row belongs to the order above."),
        RECEIVED: gettext("The day the order came in, such as 2026-01-05. Empty: today."),
        PART: gettext("The number of a part that is described under Parts."),
        REVISION: gettext("Empty: the current one."),
        QUANTITY: gettext("Pieces of this delivery."),
        DUE: gettext("The day this delivery is due, such as 2026-02-06."),
        PRICE: gettext("Of one piece."),
        RUSH: gettext("yes or no."),
        NOTE: gettext("About the order as a whole."),
    }
    return [ColumnHelp(column, holds[column]) for column in COLUMNS]
