"""The first sheet of an .xlsx workbook as rows of text, guarded against what such a file can hide."""

import datetime as dt
import io
import zipfile
import zlib
from typing import Any
from xml.etree.ElementTree import ParseError

import openpyxl

from app.shared.sheets.model import MOST_COLUMNS, MOST_ROWS, SheetError, TooManyRowsError
from app.shared.words import gettext

LARGEST_UNPACKED = 80 * 1024 * 1024
MOST_PARTS = 2000
READING_ERRORS = (
    OSError,
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    IndexError,
    ParseError,
    EOFError,
    NotImplementedError,
    RuntimeError,
    zipfile.BadZipFile,
    zlib.error,
)
"""What openpyxl, zipfile and the XML parser raise on damaged files; none of them promises fewer."""

Rows = list[tuple[int, list[str]]]
Marks = list[tuple[int, int, str]]


def workbook_rows(data: bytes) -> tuple[Rows, Marks]:
    """Return the numbered rows of the first sheet, and the cells (row, column from 0, sentence) that hold no value.

    A formula counts with the value that the spreadsheet program stored with it.

    Raises:
        SheetError: it is no workbook, is damaged, too long, or unpacks to more than 80 MB.
    """
    _refuse_what_is_no_workbook(data)
    try:
        rows, marked = _texts(data, values=False)
        return _with_values(data, marked) if marked else (rows, [])
    except READING_ERRORS as error:
        raise SheetError(
            gettext(
                "The workbook is damaged. Open it in your spreadsheet program and save it again, or save it as .csv."
            )
        ) from error


def _refuse_what_is_no_workbook(data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            listed = parts.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise SheetError(gettext("The file is damaged. Save the table again and choose the new file.")) from error
    if "xl/workbook.xml" not in {part.filename for part in listed}:
        raise SheetError(gettext("The file is no .xlsx workbook. Save the table as .xlsx or .csv."))
    if len(listed) > MOST_PARTS or sum(part.file_size for part in listed) > LARGEST_UNPACKED:
        raise SheetError(gettext("The workbook unpacks to more than 80 MB. Save only the table, as .xlsx or .csv."))


def _texts(data: bytes, *, values: bool) -> tuple[Rows, Marks]:
    """Read the first sheet and mark its formulas and errors; with ``values`` a formula reads as what it came to."""
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=values, keep_links=False)
    try:
        if not book.worksheets:
            raise SheetError(gettext("The workbook has no sheet with cells. Put the table on its first sheet."))
        return _first_sheet(book.worksheets[0])
    finally:
        book.close()


def _first_sheet(sheet: Any) -> tuple[Rows, Marks]:
    sheet.reset_dimensions()
    rows: Rows = []
    marked: Marks = []
    before = None
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), start=1):
        if cells is before:
            continue  # openpyxl fills a gap between rows with one and the same empty row, a million times if need be
        before = cells
        texts = ["" if cell.value is None else _cell_text(cell) for cell in cells]
        marked.extend((number, at, cell.data_type) for at, cell in enumerate(cells) if cell.data_type in "fe")
        if any(texts):
            rows.append((number, texts))
        if len(rows) > MOST_ROWS + 1:
            raise TooManyRowsError
    return rows, marked


def _with_values(data: bytes, marked: Marks) -> tuple[Rows, Marks]:
    """Read again what formulas came to; one without a stored value, or with an error, is marked with a sentence."""
    rows, errors = _texts(data, values=True)
    texts = dict(rows)
    broken = [(row, at, _error_sentence(texts[row][at])) for row, at, _ in errors]
    no_value = gettext("This formula has no stored value. Open the file in your spreadsheet program and save it.")
    unknown = [(row, at, no_value) for row, at, what in marked if what == "f" and not (row in texts and texts[row][at])]
    return rows, broken + unknown


def _error_sentence(shown: str) -> str:
    return gettext("This cell shows the error %(shown)s. Mend the formula, or type the value.", shown=shown)


def _cell_text(cell: Any) -> str:
    """Write a cell as a person would type it."""
    value = cell.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return _number_text(value)
    if isinstance(value, dt.timedelta | dt.time):
        return _clock_text(value, cell.number_format or "")
    if isinstance(value, dt.datetime):
        return value.date().isoformat() if value.time() == dt.time() else value.isoformat(" ", "minutes")
    return str(value).strip()


def _number_text(value: float) -> str:
    """Write a number with the 15 digits a spreadsheet keeps, without an exponent where it can be helped."""
    text = f"{value:.15g}"
    return f"{value:.0f}" if "e+" in text and abs(value) < 1e18 else text


def _clock_text(value: dt.timedelta | dt.time, shown_as: str) -> str:
    """Write a clock time as it is shown: somebody who typed 4:30 for minutes and seconds finds 4:30."""
    if isinstance(value, dt.timedelta):
        seconds = round(value.total_seconds())
    else:
        seconds = value.hour * 3600 + value.minute * 60 + value.second
    minutes, rest = divmod(seconds, 60)
    if "h" not in shown_as.lower():
        return f"{minutes}:{rest:02}"
    clock = f"{minutes // 60}:{minutes % 60:02}"
    return f"{clock}:{rest:02}" if "s" in shown_as.lower() else clock
