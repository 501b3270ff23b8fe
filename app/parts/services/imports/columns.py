"""The columns of a table of parts: their names, what they hold, and an example.

Their names are part of the file format and are the same in every language.
"""

from dataclasses import dataclass

from app.shared.words import gettext

NUMBER, NAME, REVISION = "Part number", "Part name", "Revision"
PART_COLUMNS = (
    NUMBER,
    NAME,
    REVISION,
    "Material",
    "Blank",
    "Blank from",
    "Bought by the",
    "Pieces from each",
    "Blank lead days",
    "Blank price",
    "Blank weight",
    "Piece weight",
)
OPERATION = "Operation"
OPERATION_COLUMNS = (
    OPERATION,
    "Kind",
    "Work center",
    "What is done",
    "Set-up minutes",
    "Set-up family",
    "Family set-up minutes",
    "Tending %",
    "Set-up loss",
    "Yield %",
    "Takes pieces",
    "Cycle time",
    "Load pieces",
    "Load time",
    "Unload time",
    "Batch weight",
    "Recipe",
    "Batch wait minutes",
    "Lead days",
    "Send ahead",
    "First piece check",
    "Instructions",
)
COLUMNS = (*PART_COLUMNS, *OPERATION_COLUMNS)
REQUIRED = (NUMBER, REVISION)

COLUMN_OF = {
    "number": OPERATION,
    "kind_id": "Kind",
    "work_center_id": "Work center",
    "setup_family": "Set-up family",
    "family_setup_seconds": "Family set-up minutes",
    "expected_yield": "Yield %",
    "taking": "Takes pieces",
    "cycle_ms": "Cycle time",
    "load_pieces": "Load pieces",
    "batch_grams": "Batch weight",
    "lead_days": "Lead days",
}
"""The column of each field that a routing rule may name."""


@dataclass(frozen=True, slots=True)
class ColumnHelp:
    """What a column holds, for the page that explains the table."""

    column: str
    holds: str


def column_helps() -> list[ColumnHelp]:
    """Return what each column holds, in the order of the template."""
    operation = {
        OPERATION: gettext("Its number, such as 10. Empty: the row only tells of the part."),
        "Kind": gettext("A kind of operation as the shop calls it, such as Milling."),
        "Work center": gettext("A work center by its name; empty for what others do."),
        "What is done": gettext("A few words."),
        "Set-up minutes": gettext("Such as 45 or 7.5."),
        "Set-up family": gettext(
            "The fixture or family of parts it is set up with; those of one family follow cheaply."
        ),
        "Family set-up minutes": gettext("Set-up after another of its family; empty: none."),
        "Tending %": gettext("Share of one person's time while it runs, 0 to 100; empty: nobody."),
        "Set-up loss": gettext("Pieces usually lost in setting up."),
        "Yield %": gettext("Good pieces of a hundred; empty means 100."),
        "Takes pieces": gettext("one at a time (or empty), load, batch or bar."),
        "Cycle time": gettext("Of one piece, load or batch: 1:30, 90 s or 1.5 min."),
        "Load pieces": gettext("Pieces in a pallet load, at most in a batch, or from a bar."),
        "Load time": gettext("To load a pallet or to change a bar; as the cycle time."),
        "Unload time": gettext("To unload a pallet, where loading it does not; as the cycle time."),
        "Batch weight": gettext("At most in a batch; in the shop's unit, or with lb or kg behind it."),
        "Recipe": gettext("Lots share a batch only where it is the same."),
        "Batch wait minutes": gettext("How long a batch with room left may wait for lots that are expected and fit."),
        "Lead days": gettext("For blanks and for what others do."),
        "Send ahead": gettext("Pieces that go on together before the lot is complete."),
        "First piece check": gettext("yes or no."),
        "Instructions": gettext("Shown at the station and printed."),
    }
    part = {
        NUMBER: gettext("As on the drawing. Empty: the row belongs to the part above."),
        NAME: gettext("What the shop calls it; needed for a new part."),
        REVISION: gettext("As on the drawing."),
        "Material": gettext("Such as 6061-T6."),
        "Blank": gettext("What is bought, such as Sawn bar 2 x 2 x 3.2 in."),
        "Blank from": gettext("vendor (or empty) or customer."),
        "Bought by the": gettext("piece (or empty), plate or bar."),
        "Pieces from each": gettext("Pieces cut from one plate or bar."),
        "Blank lead days": gettext("Calendar days from order to receipt."),
        "Blank price": gettext("Of one piece, plate or bar."),
        "Blank weight": gettext("Of one piece's blank; in the shop's unit, or with lb, kg or g behind it."),
        "Piece weight": gettext("Of one finished piece, likewise."),
    }
    return [ColumnHelp(column, {**part, **operation}[column]) for column in COLUMNS]


_EXAMPLES: tuple[dict[str, str], ...] = (
    {
        NUMBER: "EX-100",
        NAME: "Hinge block",
        REVISION: "B",
        "Material": "6061-T6",
        "Blank": "Sawn bar 2 x 2 x 3.2 in",
        "Bought by the": "piece",
        "Blank lead days": "10",
        "Blank price": "6.40",
        "Blank weight": "1.25",
        "Piece weight": "0.8",
        OPERATION: "10",
        "Kind": "Ordering blanks",
        "Lead days": "10",
    },
    {
        OPERATION: "20",
        "Kind": "Milling",
        "Work center": "Milling",
        "What is done": "Mill all over",
        "Set-up minutes": "45",
        "Set-up family": "Vise plate",
        "Family set-up minutes": "15",
        "Tending %": "20",
        "Set-up loss": "1",
        "Yield %": "98.5",
        "Takes pieces": "load",
        "Cycle time": "12:30",
        "Load pieces": "8",
        "Load time": "4 min",
        "Unload time": "1 min",
        "First piece check": "yes",
    },
    {
        OPERATION: "30",
        "Kind": "Tumbling",
        "Work center": "Finishing",
        "What is done": "Break edges",
        "Takes pieces": "batch",
        "Cycle time": "40 min",
        "Load pieces": "60",
        "Batch weight": "50 lb",
        "Recipe": "Ceramic, fine",
        "Batch wait minutes": "60",
    },
)
EXAMPLE_ROWS = tuple([example.get(column, "") for column in COLUMNS] for example in _EXAMPLES)
