"""Which stations an operation is for: those that could ever hold the largest run that is still to begin of it.

Where work must fit before closing others take none of it, also not a smaller run.
"""

from app.core.plan_check.hours import HORIZON
from app.core.plan_check.needs import tended
from app.core.plan_check.rows import Case
from app.core.plan_check.work import workload
from app.core.shop import Operation, OverClosed, Station
from app.core.taking import Batch


def takes_ever(case: Case, station: Station, operation: Operation) -> bool:
    """Tell whether a station ever opens, and set-up of an operation ends there as far as a plan looks ahead."""
    return operation.setup_s <= HORIZON and not case.hours[station.key].stays_closed(case.shop.now)


def could_hold(case: Case, station: Station, operation: Operation, pieces: int) -> bool:
    """Tell whether a station ever has the people for a run, and ends it before closing where it must.

    That is behind what spares it most set-up; what else is done there or holds its people is not asked.
    """
    setup_s = _least_setup(operation)
    work_s = workload(operation, station, 1 if isinstance(operation.taking, Batch) else max(1, pieces)).seconds
    if work_s > HORIZON or not takes_ever(case, station, operation):
        return False
    all_s = setup_s + work_s if station.over_closed is OverClosed.FIT else 0
    tend = tended(operation, station)
    return any(
        closes - second >= all_s and _are_enough(case, second, setup_s, tend)
        for opens, closes in case.hours[station.key].without_pauses(case.shop.now)
        if closes - opens >= all_s
        for second in sorted({opens} | _crews_come(case, opens, closes))
    )


def _least_setup(operation: Operation) -> int:
    """Return the set-up of an operation behind what spares it most."""
    if operation.family:
        return 0
    if operation.fixture and operation.fixture_setup_s is not None:
        return min(operation.setup_s, operation.fixture_setup_s)
    return operation.setup_s


def _crews_come(case: Case, first: int, last: int) -> set[int]:
    """Return the seconds of ``[first, last)`` in which a crew comes."""
    return {start for _, timeline in case.crews or () for start, _ in timeline.within(first, last)}


def _are_enough(case: Case, second: int, setup_s: int, tend: int) -> bool:
    """Tell whether the crews that are there in a second are enough for one run by itself."""
    if case.crews is None:
        return True
    there = [crew for crew, timeline in case.crews if timeline.has(second)]
    sets_up = setup_s == 0 or any(crew.setters for crew in there)
    return sets_up and 1000 * sum(crew.tenders for crew in there) >= tend
