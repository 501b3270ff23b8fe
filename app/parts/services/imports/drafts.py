"""Rows of a table grouped by part and revision, with their operations."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from app.parts.models import BlankForm, BlankSource, Taking
from app.parts.services.imports.columns import (
    NAME,
    NUMBER,
    OPERATION,
    OPERATION_COLUMNS,
    PART_COLUMNS,
    REVISION,
)
from app.parts.services.parts import NewRevision
from app.parts.services.routing_rules import NewOperation
from app.shared.sheets import YES_NO, CellProblem, CellReader, NamedRow
from app.shared.units import UnitSystem
from app.shared.words import gettext

TAKINGS = {
    "one at a time": Taking.SINGLE,
    "single": Taking.SINGLE,
    "load": Taking.LOAD,
    "pallet load": Taking.LOAD,
    "batch": Taking.BATCH,
    "bar": Taking.BAR,
    "bar-fed": Taking.BAR,
    "lead time": Taking.LEAD_TIME,
}
SOURCES = {each.value: each for each in BlankSource}
BOUGHT_BY = {each.value: each for each in BlankForm}


@dataclass(frozen=True, slots=True)
class Names:
    """The kinds and work centers by their names, and the shop's units."""

    kinds: Mapping[str, int]
    work_centers: Mapping[str, int]
    units: UnitSystem


@dataclass(slots=True)
class Draft:
    """One revision of the table: what its first row says of it, and an operation for each row that has one."""

    row: NamedRow
    number: str
    name: str
    revision: NewRevision
    filled: frozenset[str]
    """The part columns that are not empty in some row."""
    operations: list[NewOperation] = field(default_factory=list)
    operation_rows: list[int] = field(default_factory=list)
    broken: bool = False
    """Some cell of it could not be read, so that rules about the whole routing say nothing."""

    @property
    def key(self) -> tuple[str, str]:
        """Return what tells it from other revisions, capitals or not."""
        return self.number.casefold(), self.revision.label.casefold()


def drafts_of(rows: Iterable[NamedRow], names: Names) -> tuple[list[Draft], list[CellProblem]]:
    """Group rows into drafts, and name every cell that cannot be read."""
    drafts: dict[tuple[str, str], Draft] = {}
    problems: list[CellProblem] = []
    last: Draft | None = None
    for row in rows:
        cells = CellReader(row)
        draft = _draft_of(cells, last, drafts, names.units)
        if draft is not None:
            last = drafts.setdefault(draft.key, draft)
            _add_row(last, cells, names)
            last.broken = last.broken or bool(cells.problems)
        problems.extend(cells.problems)
    return list(drafts.values()), problems


def _draft_of(
    cells: CellReader, last: Draft | None, drafts: Mapping[tuple[str, str], Draft], units: UnitSystem
) -> Draft | None:
    """Return the draft a row belongs to: one there already, or a new one; None where that cannot be told."""
    number, label = cells.line(NUMBER, 60), cells.line(REVISION, 12)
    if last is not None and number.casefold() in {"", last.key[0]} and label.casefold() in {"", last.key[1]}:
        return last
    number = number or (last.number if last is not None else "")
    if not number:
        cells.wrong(NUMBER, gettext("Enter the part number: no row above has one."))
        return None
    if not label:
        cells.wrong(REVISION, gettext("Enter the revision on the drawing."))
        return None
    return drafts.get((number.casefold(), label.casefold())) or _new_draft(cells, number, label, units)


def _new_draft(cells: CellReader, number: str, label: str, units: UnitSystem) -> Draft:
    revision = NewRevision(
        label=label,
        material=cells.line("Material", 120),
        blank=cells.line("Blank", 200),
        blank_source=cells.word("Blank from", SOURCES, BlankSource.VENDOR),
        blank_form=cells.word("Bought by the", BOUGHT_BY, BlankForm.PIECE),
        pieces_per_unit=cells.whole("Pieces from each", 1, least=1),
        blank_lead_days=cells.whole("Blank lead days", most=1000),
        blank_price=cells.decimal("Blank price", Decimal(0), places=4, most=1_000_000),
        blank_grams=cells.weight("Blank weight", units),
        piece_grams=cells.weight("Piece weight", units),
    )
    if revision.blank_form is BlankForm.PIECE and revision.pieces_per_unit != 1:
        cells.wrong("Pieces from each", gettext("A blank bought by the piece makes 1 piece. Enter plate or bar, or 1."))
    filled = frozenset(column for column in PART_COLUMNS if cells.row[column])
    return Draft(cells.row, number, cells.line(NAME, 120), revision, filled)


def _add_row(draft: Draft, cells: CellReader, names: Names) -> None:
    for column in PART_COLUMNS[3:] if cells.row is not draft.row else ():
        _compare(draft, cells, column)
    if cells.row is not draft.row:
        _compare(draft, cells, NAME)
    if cells.row[OPERATION]:
        draft.operations.append(_operation(cells, names))
        draft.operation_rows.append(cells.row.number)
        return
    stray = next((column for column in OPERATION_COLUMNS if cells.row[column]), None)
    if stray is not None:
        cells.wrong(OPERATION, gettext("Enter the operation's number, or empty the row's “%(stray)s”.", stray=stray))


def _compare(draft: Draft, cells: CellReader, column: str) -> None:
    """Refuse a part column that says something else than the part's first row."""
    if cells.row[column] and cells.row[column] != draft.row[column]:
        first, said = draft.row.number, draft.row[column][:40]
        cells.wrong(
            column,
            gettext("Row %(first)s says “%(said)s”. Write the same, or leave this empty.", first=first, said=said),
        )


def _operation(cells: CellReader, names: Names) -> NewOperation:
    percent = cells.decimal("Yield %", Decimal(100), places=4, most=100)
    kind_id: Any = cells.word("Kind", names.kinds, None)
    if not cells.row["Kind"]:
        cells.wrong("Kind", gettext("Enter the kind of operation."))
    work_center: Any = cells.word("Work center", names.work_centers, None)
    return NewOperation(
        number=cells.whole(OPERATION, least=1, most=999),
        kind_id=kind_id or 0,
        work_center_id=work_center,
        title=cells.line("What is done", 120),
        setup_seconds=cells.minutes("Set-up minutes"),
        setup_family=cells.line("Set-up family", 60),
        family_setup_seconds=cells.minutes("Family set-up minutes"),
        tend_percent=cells.whole("Tending %", most=100),
        setup_loss=cells.whole("Set-up loss", most=10_000),
        expected_yield=percent.scaleb(-2),
        taking=cells.word("Takes pieces", TAKINGS, Taking.SINGLE),
        cycle_ms=cells.time("Cycle time"),
        load_pieces=_load_pieces(cells),
        load_ms=cells.time("Load time"),
        unload_ms=cells.time("Unload time"),
        batch_grams=cells.weight("Batch weight", names.units),
        recipe=cells.line("Recipe", 80),
        wait_minutes=cells.whole("Batch wait minutes", most=10_080),
        lead_days=cells.whole("Lead days", most=1000),
        send_ahead=cells.whole("Send ahead"),
        first_piece=cells.word("First piece check", YES_NO, default=False),
        instructions=cells.text("Instructions", 4000),
    )


def _load_pieces(cells: CellReader) -> int:
    many = TAKINGS.get(cells.row["Takes pieces"].casefold()) in {Taking.LOAD, Taking.BATCH, Taking.BAR}
    if many and not cells.row["Load pieces"]:
        cells.wrong("Load pieces", gettext("Enter how many pieces: in a load, at most in a batch, or from a bar."))
    return cells.whole("Load pieces", 1, least=1)
