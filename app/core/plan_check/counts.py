"""How many pieces each operation has to do, and what is known to keep them back before any time is looked at."""

from collections.abc import Iterator, Set
from dataclasses import dataclass

from app.core.plan_check.at_stations import can_do
from app.core.plan_check.faults import lot_is_faulty, needs_station, operation_is_faulty
from app.core.plan_check.hours import DAY, HORIZON
from app.core.plan_check.largest import could_hold, takes_ever
from app.core.plan_check.outside import returns
from app.core.plan_check.rows import Case
from app.core.plan_check.work import largest_run
from app.core.shop import Lot, Operation
from app.core.taking import LeadTime, Purchase

HELD, NO_BLANKS, NO_STATION = "held", "no blanks", "no station"
NO_COMPONENTS, BAD_INPUT, NO_OPEN_HOURS, PLANNED = "no components", "bad input", "no open hours", "planned"


@dataclass(frozen=True, slots=True)
class Count:
    """What an operation has to do.

    Attributes:
        coming: pieces that are there or come to it, as far as nothing is known to keep them back.
        most: those of them that can be done.
        troubles: the statuses that this operation gives its lot.
        keeps: whether it is known that what is not begun of it stays.
        goes_on: whether what is under way of it goes on wherever its station has the hours.
    """

    coming: int
    most: int
    troubles: frozenset[str] = frozenset()
    keeps: bool = False
    goes_on: bool = True


Counts = dict[str, list[Count]]
"""The counts of every lot's operations."""


def counts(case: Case) -> Counts:
    """Return what every operation has to do.

    What waits for a lot that is known never to be finished does not count among what comes to the operations behind.
    """
    found = {lot.key: list(_of_lot(case, lot, frozenset())) for lot in case.shop.lots}
    never = _never_finished(case, found)
    return {lot.key: list(_of_lot(case, lot, never)) for lot in case.shop.lots} if never else found


def goes_early(operation: Operation) -> bool:
    """Tell whether pieces leave an operation before all that will come to it are done."""
    return isinstance(operation.taking, Purchase) or (operation.send_ahead or 0) > 0


def _of_lot(case: Case, lot: Lot, never: Set[str]) -> Iterator[Count]:
    if lot.hold is not None or lot_is_faulty(lot):
        trouble = frozenset({HELD if lot.hold is not None else BAD_INPUT})
        yield from (Count(0, 0, trouble, keeps=True, goes_on=False) for _ in lot.operations)
        return
    inflow = 0
    for operation in lot.operations:
        count = _count(case, lot, operation, inflow, never)
        yield count
        inflow = operation.counted + count.most if goes_early(operation) or not count.keeps else 0


def _count(case: Case, lot: Lot, operation: Operation, inflow: int, never: Set[str]) -> Count:
    coming = inflow + operation.waiting + operation.in_work
    held = {HELD} if operation.held else set[str]()
    if not coming:
        return Count(0, 0, frozenset(held))
    cannot = _cannot(case, operation)
    if cannot is not None:
        others = held if cannot != BAD_INPUT else set()
        return Count(coming, 0, frozenset({cannot} | others), keeps=True, goes_on=False)
    missing = coming - _expected_in_time(case, operation, coming)
    troubles = held | ({NO_BLANKS} if missing else set())
    kept = set(_never_begins(case, lot, operation, coming, never)) if coming > operation.in_work else set()
    if kept:
        begun = 0 if isinstance(operation.taking, Purchase) else operation.in_work  # blanks on order wait like others
        return Count(coming, begun, frozenset(troubles | kept), keeps=True)
    return Count(coming, coming - missing, frozenset(troubles))


def _cannot(case: Case, operation: Operation) -> str | None:
    """Return the status that an operation gives its lot when none of its pieces go on, not even those under way."""
    if operation_is_faulty(case.shop, operation):
        return BAD_INPUT
    if needs_station(operation):
        able = [station for station in case.shop.stations if can_do(station, operation)]
        if not able:
            return NO_STATION
        return None if any(takes_ever(case, one, operation) for one in able) else NO_OPEN_HOURS
    if isinstance(operation.taking, LeadTime):
        too_long = operation.taking.days * DAY > HORIZON
        if too_long or any(returns(case, job, operation.taking) is None for job in operation.open_jobs):
            return NO_OPEN_HOURS
    return None


def _never_begins(case: Case, lot: Lot, operation: Operation, coming: int, never: Set[str]) -> Iterator[str]:
    """Yield what is known to keep from being begun what is not, as the statuses that it gives the lot."""
    largest = min(coming - operation.in_work, largest_run(operation, coming))
    able = [station for station in case.shop.stations if can_do(station, operation)]
    if needs_station(operation) and not any(could_hold(case, one, operation, largest) for one in able):
        yield NO_OPEN_HOURS
    missing = operation.not_before
    if missing is not None and missing.time is None:
        yield NO_COMPONENTS
    if not never.isdisjoint(operation.components):
        yield NO_COMPONENTS
    released = 0 if isinstance(operation.taking, Purchase) else lot.released
    if max(released, (missing and missing.time) or 0) > case.shop.now + HORIZON:
        yield NO_OPEN_HOURS


def _expected_in_time(case: Case, operation: Operation, pieces: int) -> int:
    """Return how many of an operation's pieces are there, or ordered so that they come while a plan looks ahead."""
    if not isinstance(operation.taking, Purchase):
        return pieces
    in_time = [one.pieces for one in operation.taking.arrivals if one.time <= case.shop.now + HORIZON]
    return min(pieces, sum(in_time))


def _never_finished(case: Case, found: Counts) -> Set[str]:
    """Return the lots in whose way something is known to stand, that wait for such lots, or for each other."""
    free = {key for key, of_lot in found.items() if not any(count.troubles for count in of_lot)}
    waits = {key: set(_waits_for(case, case.lots[key], found[key])) for key in free}
    finished: set[str] = set()
    while more := {key for key in free - finished if finished.issuperset(waits[key])}:
        finished |= more
    return case.lots.keys() - finished


def _waits_for(case: Case, lot: Lot, of_lot: list[Count]) -> Iterator[str]:
    """Yield the lots that pieces of a lot wait for."""
    for operation, count in zip(lot.operations, of_lot, strict=True):
        if count.coming > operation.in_work:
            yield from (key for key in operation.components if key in case.lots)
