"""One way to read a table, whatever kind of file it comes in."""

from app.shared.sheets.model import Sheet, SheetError, sheet_of
from app.shared.sheets.texts import text_rows
from app.shared.words import gettext

LARGEST_FILE = 10 * 1024 * 1024


def read_sheet(data: bytes, name: str) -> Sheet:
    """Read a .csv or .xlsx file: of a workbook the first sheet; the headings are in the first row.

    The kind is told by the content; ``name`` is only for messages.

    Raises:
        SheetError: it is empty, too large, of another kind, or damaged.
    """
    if not data:
        raise SheetError(gettext("The file is empty. Save the table again and choose the new file."))
    if len(data) > LARGEST_FILE:
        raise SheetError(gettext("The file is larger than 10 MB. Split it into smaller files."))
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise SheetError(
            gettext(
                "“%(name)s” is an old .xls file, or is locked with a password. Save it as .xlsx or .csv.", name=name
            )
        )
    if data.startswith(b"%PDF"):
        raise SheetError(
            gettext("“%(name)s” is a PDF, and nothing of it can be read. Save the table as .xlsx or .csv.", name=name)
        )
    if data.startswith(b"PK"):
        from app.shared.sheets.workbooks import workbook_rows  # noqa: PLC0415 - openpyxl is slow to import

        return sheet_of(*workbook_rows(data))
    return sheet_of(text_rows(data, name), ())
