"""A previewed table as one line of text, which the page keeps in a hidden field until it is confirmed."""

import base64
import binascii
import json
import zlib

from app.shared.sheets.model import CellProblem, Sheet, SheetError, SheetRow
from app.shared.words import gettext

LARGEST_PACKED = 64 * 1024 * 1024
LONGEST_LINE = 4_000_000
"""A little less than what the app takes of a form's text."""


def pack(sheet: Sheet) -> str:
    """Return a sheet as one line of text for a hidden form field.

    Raises:
        SheetError: the line would be longer than a form can send.
    """
    content = {
        "columns": sheet.columns,
        "rows": [(row.number, row.cells) for row in sheet.rows],
        "problems": [(problem.row, problem.column, problem.sentence) for problem in sheet.problems],
    }
    line = base64.urlsafe_b64encode(zlib.compress(json.dumps(content).encode(), 6)).decode("ascii")
    if len(line) > LONGEST_LINE:
        raise SheetError(gettext("The table holds too much for one import. Split it into smaller files."))
    return line


def unpack(packed: str) -> Sheet:
    """Return the sheet that ``pack`` made a line of; its content is to be checked again like any upload.

    Raises:
        SheetError: it is no such line.
    """
    try:
        text = zlib.decompressobj().decompress(base64.b64decode(packed, b"-_", validate=True), LARGEST_PACKED)
        content = json.loads(text)
        columns = tuple(map(str, content["columns"]))
        rows = tuple(_row(int(number), cells, len(columns)) for number, cells in content["rows"])
        problems = tuple(CellProblem(int(row), str(column), str(said)) for row, column, said in content["problems"])
    except (binascii.Error, zlib.error, ValueError, TypeError, KeyError, RecursionError) as error:
        raise SheetError(gettext("The previewed table got lost on the way. Choose the file again.")) from error
    return Sheet(columns, rows, problems)


def _row(number: int, cells: list[str], width: int) -> SheetRow:
    if len(cells) != width:
        raise ValueError(number)
    return SheetRow(number, tuple(map(str, cells)))
