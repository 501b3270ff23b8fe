"""What makes a list of operations a routing; each breach is named with its row and field."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.parts.errors import RowProblem
from app.parts.models import KindRole, Revision, Taking
from app.shared.units import UnitSystem, shown_weight
from app.shared.words import gettext

MOST_OPERATIONS = 100


@dataclass(frozen=True, slots=True)
class NewOperation:
    """One operation as typed; see ``OperationPlan`` for units and meaning.

    ``source_id`` is the operation it was in an earlier version: its drawings and set-up sheets come along.
    """

    number: int
    kind_id: int
    work_center_id: int | None = None
    title: str = ""
    setup_seconds: int = 0
    setup_family: str = ""
    family_setup_seconds: int = 0
    tend_percent: int = 0
    setup_loss: int = 0
    expected_yield: Decimal = Decimal(1)
    taking: Taking = Taking.SINGLE
    cycle_ms: int = 0
    load_pieces: int = 1
    load_ms: int = 0
    unload_ms: int = 0
    batch_grams: int = 0
    recipe: str = ""
    wait_minutes: int = 0
    lead_days: int = 0
    send_ahead: int = 0
    first_piece: bool = False
    instructions: str = ""
    source_id: int | None = None


@dataclass(frozen=True, slots=True)
class RoutingContext:
    """What the rules have to know of the rest of the shop."""

    roles: Mapping[int, KindRole]
    """What each kind means, by its key."""
    piece_grams: int
    """The heavier of blank and finished piece; 0 where neither weight is known."""
    lead_days: int
    """The lead time of the revision's blank."""
    units: UnitSystem

    @classmethod
    def of(cls, revision: Revision, roles: Mapping[int, KindRole], units: UnitSystem) -> "RoutingContext":
        """Return the context of one revision."""
        return cls(roles, heaviest(revision.blank_grams, revision.piece_grams), revision.blank_lead_days, units)


def heaviest(blank_grams: int, piece_grams: int) -> int:
    """Return what a piece weighs at its heaviest: it is cut from the blank, and may gain components."""
    return max(blank_grams, piece_grams)


def problems_of(operations: Sequence[NewOperation], context: RoutingContext) -> list[RowProblem]:
    """Return every breach of a rule, in the order of the rows."""
    if not operations:
        return [RowProblem(None, "operations", gettext("A routing needs at least one operation."))]
    if len(operations) > MOST_OPERATIONS:
        too_many = gettext("A routing has at most %(most)s operations.", most=MOST_OPERATIONS)
        return [RowProblem(None, "operations", too_many)]
    found: list[RowProblem] = []
    for row, operation in enumerate(operations):
        found.extend(RowProblem(row, *breach) for breach in _order_breaches(operations, row, context))
        rules = _STATION_RULES if context.roles[operation.kind_id] is KindRole.STATION else _LEAD_TIME_RULES
        for rule in (_breaks_number, _breaks_yield, *rules):
            found.extend(RowProblem(row, *breach) for breach in rule(operation, context))
    return found


Breach = tuple[str, str]
Rule = Callable[[NewOperation, RoutingContext], Iterator[Breach]]


def _order_breaches(operations: Sequence[NewOperation], row: int, context: RoutingContext) -> Iterator[Breach]:
    number = operations[row].number
    before = operations[:row]
    if number in {operation.number for operation in before}:
        yield (
            "number",
            gettext("There is already an operation %(number)s above. Give each its own number.", number=number),
        )
    elif row and number < before[-1].number:
        yield (
            "number",
            gettext("It comes after %(before)s, so its number must be higher.", before=before[-1].number),
        )
    if row and context.roles[operations[row].kind_id] is KindRole.BLANKS:
        if any(context.roles[operation.kind_id] is KindRole.BLANKS for operation in before):
            yield "kind_id", gettext("Blanks are ordered once. Remove one of the two operations.")
        else:
            yield "kind_id", gettext("Ordering the blanks comes first. Move this operation to the top.")


def _breaks_number(operation: NewOperation, _context: RoutingContext) -> Iterator[Breach]:
    if not 1 <= operation.number <= 999:
        yield "number", gettext("Operation numbers go from 1 to 999.")


def _breaks_yield(operation: NewOperation, _context: RoutingContext) -> Iterator[Breach]:
    if not 0 < operation.expected_yield <= 1:
        yield "expected_yield", gettext("The yield is above 0 and at most 100 %.")


def _breaks_station(operation: NewOperation, _context: RoutingContext) -> Iterator[Breach]:
    if operation.work_center_id is None:
        yield "work_center_id", gettext("Choose the work center whose stations can do it.")
    if operation.taking is Taking.LEAD_TIME:
        yield "taking", gettext("A lead time in days is for kinds done by others. Choose how the station takes pieces.")
    elif operation.cycle_ms <= 0:
        yield "cycle_ms", gettext("The time must be more than nothing.")


def _breaks_family(operation: NewOperation, _context: RoutingContext) -> Iterator[Breach]:
    if operation.family_setup_seconds > operation.setup_seconds:
        yield "family_setup_seconds", gettext("Within its family it cannot take longer than the whole set-up.")
    elif operation.family_setup_seconds and not operation.setup_family:
        yield "setup_family", gettext("Name the fixture or family of parts that makes set-up shorter.")


def _breaks_load(operation: NewOperation, _context: RoutingContext) -> Iterator[Breach]:
    if operation.load_pieces < 1:
        yield "load_pieces", gettext("It must hold at least 1 piece.")


def _breaks_batch(operation: NewOperation, context: RoutingContext) -> Iterator[Breach]:
    if operation.taking is not Taking.BATCH or not operation.batch_grams:
        return
    if not context.piece_grams:
        yield (
            "batch_grams",
            gettext("Nobody knows what a piece weighs. Enter its weight on the revision, or leave this empty."),
        )
    elif context.piece_grams > operation.batch_grams:
        weight = shown_weight(context.piece_grams, context.units)
        yield "batch_grams", gettext("One piece weighs %(weight)s, so none would fit a batch.", weight=weight)


def _breaks_lead_time(operation: NewOperation, context: RoutingContext) -> Iterator[Breach]:
    outside = context.roles[operation.kind_id] is KindRole.OUTSIDE
    if operation.lead_days < 1 and (outside or not context.lead_days):
        yield (
            "lead_days",
            (
                gettext("Enter how many days it takes until the pieces are back.")
                if outside
                else gettext(
                    "Enter how many days it takes until the blanks are here, here or with the revision's blank."
                )
            ),
        )


_STATION_RULES: tuple[Rule, ...] = (_breaks_station, _breaks_family, _breaks_load, _breaks_batch)
_LEAD_TIME_RULES: tuple[Rule, ...] = (_breaks_lead_time,)
