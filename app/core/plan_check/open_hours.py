"""Whether open hours, or another lot, really keep back what a plan leaves undone."""

from collections.abc import Iterator, Sequence

from app.core.plan_check.counts import PLANNED
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case
from app.core.plan_check.standstill import stands_still
from app.core.plan_check.violations import Rule, Violation
from app.core.shop import Lot, Operation


def violations(case: Case, lot: Lot, stops: Sequence[Stop]) -> Iterator[Violation]:
    """Yield what a lot leaves undone though a station has the hours for it."""
    for index, stop in enumerate(stops):
        if stop.left > 0 and not lacks_a_lot(case, stop.operation) and not has_no_hours(case, lot, index, stop):
            told = f"{stop.left} of its pieces are left undone, and there are hours for them"
            yield Violation(Rule.COUNT, told, lot.key, index)


def lacks_a_lot(case: Case, operation: Operation) -> bool:
    """Tell whether an operation waits for a lot that a plan does not finish."""
    return any(key in case.lots and case.status_of(key) != PLANNED for key in operation.components)


def has_no_hours(case: Case, lot: Lot, index: int, stop: Stop) -> bool:
    """Tell whether no station, or no hour, comes for what is left undone once all that it takes is there.

    Of component lots that is when the plan says that they are finished, which is proved where they are. Before the
    last run has begun more was waiting, and a larger run would have been begun of it.
    """
    missing = stop.operation.not_before
    expected = [] if missing is None else [missing.time]
    expected += [case.finish_told(key) for key in stop.operation.components]
    known = [second for second in expected if second is not None]
    begun = [*(row.run.end for row in stop.begun), *(row.run.start for row in stop.rows)]
    since = max([case.shop.now, lot.released, *known, *stop.there, *begun])
    largest = min(stop.count.coming - stop.operation.in_work, stop.most_in_one)
    return stands_still(case, lot, index, min(stop.left, stop.most_in_one), since, largest)
