"""How many pieces each operation has to do, and what keeps them from being done, before any time is looked at."""

from dataclasses import dataclass

from app.core.plan_check.at_stations import can_do
from app.core.plan_check.faults import lot_is_faulty, needs_station, operation_is_faulty
from app.core.plan_check.hours import HORIZON
from app.core.plan_check.rows import Case
from app.core.plan_check.standstill import stands_still
from app.core.plan_check.work import largest_run
from app.core.shop import Lot, Operation
from app.core.taking import Purchase

HELD, NO_BLANKS, NO_STATION = "held", "no blanks", "no station"
NO_COMPONENTS, BAD_INPUT, NO_OPEN_HOURS, PLANNED = "no components", "bad input", "no open hours", "planned"
BLOCKS = {NO_STATION, NO_COMPONENTS, BAD_INPUT}
"""What lets no piece that is not begun of an operation go on."""


@dataclass(frozen=True, slots=True)
class Count:
    """What an operation has to do.

    Attributes:
        least: pieces that must be done in a plan.
        most: pieces that can be done.
        total: pieces to do if nothing stood in the way of any operation.
        trouble: the status that this operation gives its lot; None where nothing stands in the way.
        goes_on: whether what is under way of it goes on wherever its station has the hours.
    """

    least: int
    most: int
    total: int
    trouble: str | None
    goes_on: bool = True


@dataclass(frozen=True, slots=True)
class _Inflow:
    """Pieces that reach an operation: at least, at most, and if nothing stood in the way.

    ``sure`` is false behind an operation that waits for another lot: whether what it keeps back is still to come,
    so that what is further on waits for it, is left open.
    """

    least: int = 0
    most: int = 0
    total: int = 0
    sure: bool = True


def counts(case: Case, lot: Lot) -> list[Count]:
    """Return the counts of a lot's operations."""
    if lot.hold is not None or lot_is_faulty(lot):
        trouble = HELD if lot.hold is not None else BAD_INPUT
        return [Count(0, 0, 0, trouble, goes_on=False) for _ in lot.operations]
    inflow, found, stops = _Inflow(), [], may_stop(case, lot)
    for operation in lot.operations:
        count = _count(case, operation, inflow, stops=stops)
        found.append(count)
        inflow = _leaving(case, operation, count, inflow, stops=stops)
    return found


def may_stop(case: Case, lot: Lot) -> bool:
    """Tell whether open hours or people may stop a lot somewhere, also where its status names something else."""
    if case.status_of(lot.key) in {PLANNED, NO_OPEN_HOURS}:
        return case.status_of(lot.key) == NO_OPEN_HOURS
    arrived, since = 0, max(case.shop.now, lot.released)
    for index, operation in enumerate(lot.operations):
        arrived += operation.waiting + operation.in_work
        possible = arrived and blocked(case, operation) is None
        in_one = largest_run(operation, arrived)
        if possible and stands_still(case, lot, index, in_one, since, in_one):
            return True
        since = max([since, *(row.run.end for row in case.rows_of(lot.key, index))])
        arrived += operation.counted
    return False


def _count(case: Case, operation: Operation, inflow: _Inflow, *, stops: bool) -> Count:
    here = operation.waiting + operation.in_work
    total, most = inflow.total + here, inflow.most + here
    begun = 0 if isinstance(operation.taking, Purchase) else operation.in_work  # blanks on order wait like others
    blocks = blocked(case, operation) if most else None
    if blocks is not None:
        return Count(0, begun, total, blocks, goes_on=False)
    missing = _not_on_order(operation, most)
    late = _ordered_too_late(case, operation, most - missing)
    if most > operation.in_work and _lacks_components(case, operation):
        return Count(0 if stops else begun, begun, total, NO_BLANKS if missing or late else NO_COMPONENTS)
    held = HELD if operation.held else None
    least = 0 if stops else max(0, inflow.least + here - missing - late)
    trouble = NO_BLANKS if missing or late else held
    return Count(least, most - missing - late, total, trouble)


def _leaving(case: Case, operation: Operation, count: Count, inflow: _Inflow, *, stops: bool) -> _Inflow:
    """Return the pieces that leave an operation."""
    total, sure = count.total + operation.counted, inflow.sure and not _waits_for_a_lot(case, operation)
    goes_early = operation.send_ahead is not None or isinstance(operation.taking, Purchase)
    if count.trouble in BLOCKS and not goes_early:
        begun = count.most if count.goes_on else 0
        return _Inflow(0, begun + operation.counted if stops else 0, total, sure)  # nothing else may ever come to it
    kept = count.trouble in BLOCKS - {NO_COMPONENTS} or stops
    least = 0 if kept or not (sure or goes_early) else count.least + operation.counted
    return _Inflow(least, count.most + operation.counted, total, sure)


def blocked(case: Case, operation: Operation) -> str | None:
    """Return the status that an operation gives its lot when none of its pieces can go on."""
    if operation_is_faulty(case.shop, operation):
        return BAD_INPUT
    if needs_station(operation) and not any(can_do(station, operation) for station in case.shop.stations):
        return NO_STATION
    return None


def _lacks_components(case: Case, operation: Operation) -> bool:
    """Tell whether what is not begun of an operation waits for something that nobody expects."""
    missing = operation.not_before
    if missing is not None and missing.time is None:
        return True
    return _waits_for_a_lot(case, operation)


def _waits_for_a_lot(case: Case, operation: Operation) -> bool:
    return any(key in case.lots and case.status_of(key) != PLANNED for key in operation.components)


def _not_on_order(operation: Operation, pieces: int) -> int:
    """Return how many of an operation's pieces are blanks that nobody ordered."""
    if not isinstance(operation.taking, Purchase):
        return 0
    return max(0, pieces - sum(arrival.pieces for arrival in operation.taking.arrivals))


def _ordered_too_late(case: Case, operation: Operation, pieces: int) -> int:
    """Return how many of the blanks that are ordered come later than a plan looks ahead."""
    if not isinstance(operation.taking, Purchase):
        return 0
    in_time = (one.pieces for one in operation.taking.arrivals if one.time <= case.shop.now + HORIZON)
    return max(0, pieces - sum(in_time))
