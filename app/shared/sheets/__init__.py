"""Tables that people bring along as .csv or .xlsx files: read whole, as text, with each bad cell named.

A table is kept between its preview and its confirmation by the page itself (``pack`` and ``unpack``), so that the
server remembers nothing and a restart in between loses nothing.
"""

from app.shared.sheets.cells import YES_NO, CellReader
from app.shared.sheets.model import CellProblem, ImportRefusedError, NamedRow, Sheet, SheetError, SheetRow, named_rows
from app.shared.sheets.packing import pack, unpack
from app.shared.sheets.reading import LARGEST_FILE, read_sheet
from app.shared.sheets.texts import csv_file

__all__ = [
    "LARGEST_FILE",
    "YES_NO",
    "CellProblem",
    "CellReader",
    "ImportRefusedError",
    "NamedRow",
    "Sheet",
    "SheetError",
    "SheetRow",
    "csv_file",
    "named_rows",
    "pack",
    "read_sheet",
    "unpack",
]
