"""A table as rows of text, its limits, and what can be wrong with a cell."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.shared.errors import PlainError
from app.shared.words import gettext, ngettext

MOST_ROWS = 20_000
MOST_COLUMNS = 100
LONGEST_CELL = 10_000


class SheetError(PlainError):
    """The file cannot be read as a table."""


class TooManyRowsError(SheetError):
    """The table is longer than it may be."""

    def __init__(self) -> None:
        super().__init__(
            gettext("The table has more than %(most)s rows. Split it into smaller files.", most=f"{MOST_ROWS:,}")
        )


@dataclass(frozen=True, slots=True)
class CellProblem:
    """What is wrong with one cell, or with a whole row where ``column`` is empty.

    ``row`` is counted as a spreadsheet counts: the headings are row 1.
    """

    row: int
    column: str
    sentence: str

    @property
    def place(self) -> str:
        """Say where it is: ``Row 12, Cycle time``."""
        where = gettext("Row %(row)s", row=self.row)
        return f"{where}, {self.column}" if self.column else where

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}"


class ImportRefusedError(PlainError):
    """A table has bad cells; nothing of it was stored."""

    def __init__(self, problems: Sequence[CellProblem]) -> None:
        first = "; ".join(map(str, problems[:3]))
        count = ngettext("%(num)d cell is wrong", "%(num)d cells are wrong", len(problems))
        super().__init__(gettext("%(count)s, and nothing was stored. %(first)s", count=count, first=first))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row that is not empty: its number in the file and its cells, as many as there are columns."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table of texts. ``problems`` names cells whose text the file did not tell, such as a broken formula."""

    columns: tuple[str, ...]
    rows: tuple[SheetRow, ...]
    problems: tuple[CellProblem, ...] = ()


@dataclass(frozen=True, slots=True)
class NamedRow:
    """A row by the names of its known columns; a column that is left out reads as empty."""

    number: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


def named_rows(sheet: Sheet, known: Sequence[str], required: Sequence[str]) -> tuple[list[NamedRow], list[CellProblem]]:
    """Return the rows by column name, and what is wrong with the headings (a missing, unknown or repeated column).

    Capitals and extra spaces in a heading do not matter.
    """
    by_fold = {_folded(column): column for column in known}
    names = [by_fold.get(_folded(heading), "") for heading in sheet.columns]
    missing = gettext("This column is missing. Add it to the headings.")
    problems = [
        *_heading_problems(sheet.columns, names, known),
        *(CellProblem(1, column, missing) for column in required if column not in names),
    ]
    rows = [
        NamedRow(row.number, {name: cell for name, cell in zip(names, row.cells, strict=True) if name})
        for row in sheet.rows
    ]
    return rows, problems


def sheet_of(rows: Sequence[tuple[int, list[str]]], marked: Sequence[tuple[int, int, str]]) -> Sheet:
    """Make a sheet of numbered rows: the first one that is not empty holds the headings, empty ones are left out.

    Args:
        rows: the number of each row in its file, and its texts.
        marked: row number, place in the row from 0 and sentence of each cell that could not be read.

    Raises:
        SheetError: there are no rows, or too many columns.
    """
    filled = [(number, cells) for number, cells in rows if any(cells)]
    if not filled:
        raise SheetError(gettext("The file has no rows. Put the headings in the first row and the data below."))
    columns = tuple(_without_empty_end(filled[0][1]))
    if len(columns) > MOST_COLUMNS:
        raise SheetError(gettext("The table has more than %(most)s columns.", most=MOST_COLUMNS))
    problems = [CellProblem(row, _heading(columns, at), sentence) for row, at, sentence in marked]
    for number, cells in filled[1:]:
        problems.extend(_bad_cells(number, cells, columns))
    made = tuple(SheetRow(number, _fitted(cells, len(columns))) for number, cells in filled[1:])
    return Sheet(columns, made, tuple(sorted(problems, key=lambda problem: problem.row)))


def _without_empty_end(cells: list[str]) -> list[str]:
    last = max(at for at, cell in enumerate(cells) if cell)
    return cells[: last + 1]


def _fitted(cells: list[str], width: int) -> tuple[str, ...]:
    return (*cells[:width], *[""] * (width - len(cells)))


def _bad_cells(number: int, cells: list[str], columns: tuple[str, ...]) -> Iterator[CellProblem]:
    for at, cell in enumerate(cells):
        if at >= len(columns) and cell:
            yield CellProblem(number, _letters(at), gettext("This cell has no heading. Name its column or empty it."))
        if len(cell) > LONGEST_CELL:
            too_long = gettext("This cell is longer than %(most)s letters. Shorten it.", most=LONGEST_CELL)
            yield CellProblem(number, _heading(columns, at), too_long)


def _heading(columns: tuple[str, ...], at: int) -> str:
    return columns[at] if at < len(columns) and columns[at] else _letters(at)


def _letters(at: int) -> str:
    """Name a column as spreadsheets do: 0 is A, 26 is AA."""
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _folded(heading: str) -> str:
    return " ".join(heading.split()).casefold()


def _heading_problems(columns: Sequence[str], names: Sequence[str], known: Sequence[str]) -> Iterator[CellProblem]:
    seen: set[str] = set()
    for at, (heading, name) in enumerate(zip(columns, names, strict=True)):
        if not heading:
            yield CellProblem(1, _letters(at), gettext("This column has no heading. Name it or delete it."))
        elif not name:
            known_ones = ", ".join(known)
            yield CellProblem(1, heading, gettext("This column is not known. Known are: %(known)s.", known=known_ones))
        elif name in seen:
            yield CellProblem(1, heading, gettext("This column is there twice. Delete one of them."))
        seen.add(name)
