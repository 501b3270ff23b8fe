"""Tables in .csv files as spreadsheet programs write them: marks between cells, quotes and letters vary."""

import csv
import io
from collections.abc import Iterable, Sequence

from app.shared.sheets.model import MOST_ROWS, SheetError, TooManyRowsError
from app.shared.words import gettext

DELIMITERS = ",;\t"


def text_rows(data: bytes, name: str) -> list[tuple[int, list[str]]]:
    """Return the numbered rows of a .csv file; a row may span several lines inside quotes.

    Raises:
        SheetError: it is no text, a quote mark is out of place, or it is too long.
    """
    text, delimiter, skipped = _delimited(_decoded(data, name))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for number, cells in enumerate(reader, start=1 + skipped):
            texts = [cell.strip() for cell in cells]
            if any(texts):
                rows.append((number, texts))
            if len(rows) > MOST_ROWS + 1:
                raise TooManyRowsError
    except csv.Error as error:
        raise SheetError(
            gettext(
                "Line %(line)s cannot be read. Look there, or above it, for a quote mark out of place.",
                line=reader.line_num + skipped,
            )
        ) from error
    return rows


def csv_file(columns: Sequence[str], rows: Iterable[Sequence[str]] = ()) -> bytes:
    """Write a .csv file that spreadsheet programs open with the right letters (UTF-8 with a mark at its start)."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8-sig")


def _decoded(data: bytes, name: str) -> str:
    """Return a text file's letters: UTF-16 by its mark, else UTF-8, else the usual letters of Windows."""
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ["utf-16"] if marked else ["utf-8-sig", "cp1252"]:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise SheetError(
        gettext("“%(name)s” is neither a .csv nor an .xlsx file. Save the table as one of these.", name=name)
    )


def _delimited(text: str) -> tuple[str, str, int]:
    """Return the table's text, the mark between its cells, and how many lines before it were skipped."""
    first, _, rest = text.partition("\n")
    declared = first.strip(" \r")
    if len(declared) == 5 and declared.lower().startswith("sep="):
        return rest, declared[4], 1
    outside_quotes = "".join(first.split('"')[::2])
    return text, max(DELIMITERS, key=outside_quotes.count), 0
