"""Which stations an operation is for: those that could ever hold the largest run that is still to begin of it.

Where work must fit before closing others take none of it, also not a smaller run.
"""

from collections.abc import Iterator

from app.core.plan_check.hours import DAY, StationHours
from app.core.plan_check.needs import tended
from app.core.plan_check.rows import Case
from app.core.plan_check.stretches import Stretch
from app.core.plan_check.work import workload
from app.core.shop import Operation, OverClosed, Station
from app.core.taking import Batch

CLOSED_DAYS = 400
"""A station or a door that stays closed for so many days counts as one that never opens."""


def could_hold(case: Case, station: Station, operation: Operation, pieces: int) -> bool:
    """Tell whether a station could end a run in the stretch in which it begins, behind what spares it most set-up.

    What else is done there or holds its people is not asked; where a run need not end there is nothing to ask.
    """
    if station.over_closed is not OverClosed.FIT:
        return True
    setup_s = _least_setup(operation)
    in_one = 1 if isinstance(operation.taking, Batch) else max(1, pieces)
    all_s = setup_s + workload(operation, station, in_one).seconds
    tend = tended(operation, station)
    return any(
        closes - second >= all_s and _are_enough(case, second, setup_s, tend)
        for opens, closes in without_pauses(case.hours[station.key], case.shop.now)
        for second in sorted({opens} | _crews_come(case, opens, closes))
    )


def without_pauses(hours: StationHours, since: int) -> Iterator[Stretch]:
    """Yield the stretches without a pause in the time looked ahead."""
    begun = at = since
    for start, end in hours.attended.within(since, since + CLOSED_DAYS * DAY):
        if start > at:
            if begun < at:
                yield begun, at
            begun = start
        at = end
    if begun < at:
        yield begun, at


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
