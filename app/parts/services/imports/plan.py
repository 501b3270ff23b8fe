"""What an import would do to each revision of the table, judged against what is stored."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.models import KindRole, Part, Revision, Routing
from app.parts.services.imports.columns import COLUMN_OF, COLUMNS, NAME, OPERATION, REQUIRED
from app.parts.services.imports.drafts import Draft, Names, drafts_of
from app.parts.services.routing_rules import NewOperation, RoutingContext, heaviest, problems_of
from app.parts.services.routings import SAVED, roles_of_kinds, settled
from app.shared.progress import Progress, silent
from app.shared.sheets import CellProblem, Sheet, named_rows
from app.shared.words import gettext, ngettext
from app.stations import queries as station_queries

REVISION_COLUMNS = {
    "Material": "material",
    "Blank": "blank",
    "Blank from": "blank_source",
    "Bought by the": "blank_form",
    "Pieces from each": "pieces_per_unit",
    "Blank lead days": "blank_lead_days",
    "Blank price": "blank_price",
    "Blank weight": "blank_grams",
    "Piece weight": "piece_grams",
}


class Outcome(Enum):
    """What happens to a revision of the table."""

    NEW_PART = "new part"
    NEW_REVISION = "new revision"
    NEW_ROUTING = "new routing"
    UNCHANGED = "unchanged"


@dataclass(frozen=True, slots=True)
class PreviewLine:
    """One revision of the table and what happens to it."""

    row: int
    number: str
    label: str
    name: str
    outcome: Outcome
    operations: int

    @property
    def sentence(self) -> str:
        """Say what happens."""
        with_operations = ngettext("%(num)d operation", "%(num)d operations", self.operations)
        sentences = {
            Outcome.NEW_PART: gettext("New part, %(operations)s", operations=with_operations),
            Outcome.NEW_REVISION: gettext(
                "New revision, now the current one, %(operations)s", operations=with_operations
            ),
            Outcome.NEW_ROUTING: gettext("New version of its routing, %(operations)s", operations=with_operations),
            Outcome.UNCHANGED: gettext("Already here as it is in the table"),
        }
        return sentences[self.outcome]


@dataclass(frozen=True, slots=True)
class PartsPreview:
    """What an import would do, and every cell that keeps it from being done."""

    lines: tuple[PreviewLine, ...]
    problems: tuple[CellProblem, ...]

    def count(self, outcome: Outcome) -> int:
        """Return how many revisions of the table have this outcome."""
        return sum(line.outcome is outcome for line in self.lines)


@dataclass(slots=True)
class Known:
    """What is stored of the table's parts, by numbers and labels in small letters."""

    parts: dict[str, Part]
    revisions: dict[tuple[str, str], Revision]
    routings: dict[int, Routing]


@dataclass(slots=True)
class Planned:
    """A draft, its outcome, and what it would change."""

    draft: Draft
    outcome: Outcome
    part: Part | None
    revision: Revision | None
    routing: Routing | None


def plan_of(session: orm.Session, sheet: Sheet, tell: Progress = silent) -> tuple[list[Planned], list[CellProblem]]:
    """Judge a table: what would be done, and all that is wrong with it. A fixed number of statements."""
    rows, wrong = named_rows(sheet, COLUMNS, REQUIRED)
    if wrong:
        return [], wrong
    if not rows:
        return [], [CellProblem(2, "", gettext("There is no row below the headings."))]
    names = _names(session)
    drafts, problems = drafts_of(rows, names)
    known = known_parts(session, drafts)
    roles = roles_of_kinds(session)
    planned: list[Planned] = []
    for done, draft in enumerate(drafts):
        tell(done, 2 * len(drafts))  # the other half is storing them
        part, revision = known.parts.get(draft.key[0]), known.revisions.get(draft.key)
        context = _context(draft, revision, roles, names)
        draft.operations = _with_sources(draft, known, revision)
        problems.extend(_rule_problems(draft, context))
        problems.extend(_clashes(draft, part, revision))
        if not draft.broken:
            draft.operations = [settled(operation, context) for operation in draft.operations]
        routing = known.routings.get(revision.id) if revision else None
        planned.append(Planned(draft, _outcome(draft, part, revision, routing), part, revision, routing))
    problems.extend(_join_new_parts(planned))
    return planned, sorted([*sheet.problems, *problems], key=lambda problem: problem.row)


def preview_of(planned: Iterable[Planned], problems: Iterable[CellProblem]) -> PartsPreview:
    """Tell what is planned, line by line."""
    lines = tuple(
        PreviewLine(
            row=each.draft.row.number,
            number=each.part.number if each.part else each.draft.number,
            label=each.draft.revision.label,
            name=each.part.name if each.part else each.draft.name,
            outcome=each.outcome,
            operations=len(each.draft.operations),
        )
        for each in planned
    )
    return PartsPreview(lines, tuple(problems))


def known_parts(session: orm.Session, drafts: Iterable[Draft]) -> Known:
    """Return what is stored of the drafts' parts, whatever their capitals."""
    numbers = {draft.key[0] for draft in drafts}
    stored = sa.select(Part).options(orm.selectinload(Part.revisions).selectinload(Revision.components))
    parts = {part.number.casefold(): part for part in session.scalars(stored) if part.number.casefold() in numbers}
    revisions = {
        (number, revision.label.casefold()): revision for number, part in parts.items() for revision in part.revisions
    }
    wanted = {draft.key for draft in drafts}
    routings = queries.newest_routings(session, [each.id for key, each in revisions.items() if key in wanted])
    return Known(parts, revisions, routings)


def _names(session: orm.Session) -> Names:
    return Names(
        kinds={kind.name: kind.id for kind in queries.all_kinds(session)},
        work_centers={center.name: center.id for center in station_queries.work_centers(session)},
        units=queries.shop_units(session),
    )


def _context(draft: Draft, revision: Revision | None, roles: dict[int, KindRole], names: Names) -> RoutingContext:
    if revision is not None:
        return RoutingContext.of(revision, roles, names.units)
    new = draft.revision
    return RoutingContext(roles, heaviest(new.blank_grams, new.piece_grams), new.blank_lead_days, names.units)


def _with_sources(draft: Draft, known: Known, revision: Revision | None) -> list[NewOperation]:
    """Let an operation take over the files of the stored one with the same number."""
    routing = known.routings.get(revision.id) if revision else None
    stored = {operation.number: operation.id for operation in routing.operations} if routing else {}
    return [replace(operation, source_id=stored.get(operation.number)) for operation in draft.operations]


def _rule_problems(draft: Draft, context: RoutingContext) -> Iterator[CellProblem]:
    if draft.broken or not draft.operations:
        return
    for problem in problems_of(draft.operations, context):
        row = draft.operation_rows[problem.row or 0]
        yield CellProblem(row, COLUMN_OF.get(problem.about, OPERATION), problem.sentence)


def _clashes(draft: Draft, part: Part | None, revision: Revision | None) -> Iterator[CellProblem]:
    """Name what the table says otherwise than what is stored: an import adds, it never changes a part or a blank."""
    row = draft.row.number
    if part is not None and draft.name and draft.name != part.name:
        stored = gettext("The part is here as “%(name)s”. Write the same, or leave this empty.", name=part.name)
        yield CellProblem(row, NAME, stored)
    if revision is None:
        return
    for column, name in REVISION_COLUMNS.items():
        if column in draft.filled and getattr(draft.revision, name) != getattr(revision, name):
            yield CellProblem(row, column, gettext("This revision is here with another value. Leave this empty."))
    missing = {each.operation_number for each in revision.components} - {each.number for each in draft.operations}
    if draft.operations and missing:
        numbers = ", ".join(map(str, sorted(missing)))
        fitted = gettext("Components are fitted at operation %(numbers)s, which is missing here.", numbers=numbers)
        yield CellProblem(row, OPERATION, fitted)


def _join_new_parts(planned: Iterable[Planned]) -> Iterator[CellProblem]:
    """Let only the first revision of a new part be the new part, and see that the part has one name."""
    names: dict[str, str] = {}
    for each in planned:
        if each.part is not None:
            continue
        draft = each.draft
        if draft.key[0] in names:
            each.outcome = Outcome.NEW_REVISION
        name = names.setdefault(draft.key[0], draft.name)
        if not name:
            yield CellProblem(draft.row.number, NAME, gettext("Enter the name of this new part."))
        elif draft.name not in {"", name}:
            other = gettext("A row above calls this part “%(name)s”. Write the same, or leave this empty.", name=name)
            yield CellProblem(draft.row.number, NAME, other)


def _outcome(draft: Draft, part: Part | None, revision: Revision | None, routing: Routing | None) -> Outcome:
    if part is None:
        return Outcome.NEW_PART
    if revision is None:
        return Outcome.NEW_REVISION
    stored = [[getattr(each, name) for name in SAVED] for each in routing.operations] if routing else []
    wanted = [[getattr(each, name) for name in SAVED] for each in draft.operations]
    return Outcome.UNCHANGED if not wanted or stored == wanted else Outcome.NEW_ROUTING
