"""Cells of one row become typed values, or a problem that names the cell."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeVar

from app.shared.fields import one_line, several_lines
from app.shared.sheets.model import CellProblem, NamedRow
from app.shared.typed import TypedError, decimal_number, minutes_s, time_ms, weight_grams, whole_number
from app.shared.units import UnitSystem
from app.shared.words import gettext

Value = TypeVar("Value")

YES_NO = {
    "yes": True,
    "y": True,
    "x": True,
    "true": True,
    "1": True,
    "no": False,
    "n": False,
    "false": False,
    "0": False,
}


@dataclass(slots=True)
class CellReader:
    """Reads cells of one row; what is wrong is noted in ``problems``, and the default stands in for it."""

    row: NamedRow
    problems: list[CellProblem] = field(default_factory=list)

    def wrong(self, column: str, sentence: str) -> None:
        """Note what is wrong with a cell."""
        self.problems.append(CellProblem(self.row.number, column, sentence))

    def read(self, column: str, reader: Callable[[str], Value], default: Value) -> Value:
        """Return what ``reader`` makes of a cell; ``default`` where it is empty or wrong."""
        typed = self.row[column]
        if not typed:
            return default
        try:
            return reader(typed)
        except TypedError as error:
            self.wrong(column, str(error))
            return default

    def text(self, column: str, longest: int) -> str:
        """Return a text of at most ``longest`` letters, clean of characters that are not seen."""
        return self._bounded(column, several_lines(self.row[column]), longest)

    def line(self, column: str, longest: int) -> str:
        """Return a text in one line, likewise."""
        return self._bounded(column, one_line(self.row[column]), longest)

    def whole(self, column: str, default: int = 0, *, least: int = 0, most: int = 1_000_000) -> int:
        """Return a whole number."""
        return self.read(column, lambda typed: whole_number(typed, least=least, most=most), default)

    def decimal(self, column: str, default: Decimal, *, places: int, most: int) -> Decimal:
        """Return a decimal number."""
        return self.read(column, lambda typed: decimal_number(typed, places=places, most=most), default)

    def time(self, column: str) -> int:
        """Return a time in milliseconds."""
        return self.read(column, time_ms, 0)

    def minutes(self, column: str) -> int:
        """Return a time typed in minutes, in seconds."""
        return self.read(column, minutes_s, 0)

    def weight(self, column: str, units: UnitSystem) -> int:
        """Return a weight in grams; a cell without a unit is in that of ``units``."""
        return self.read(column, lambda typed: weight_grams(typed, units), 0)

    def word(self, column: str, known: Mapping[str, Value], default: Value) -> Value:
        """Return what one of some known words means, capitals or not."""
        typed = one_line(self.row[column])
        if not typed:
            return default
        found = {word.casefold(): meaning for word, meaning in known.items()}.get(typed.casefold())
        if found is None:
            names = ", ".join(dict.fromkeys(known)) or gettext("none yet")
            self.wrong(
                column, gettext("“%(typed)s” is not known. Known are: %(names)s.", typed=typed[:40], names=names)
            )
            return default
        return found

    def _bounded(self, column: str, text: str, longest: int) -> str:
        if len(text) > longest:
            self.wrong(column, gettext("Use %(longest)s characters or fewer.", longest=longest))
        return text[:longest]
