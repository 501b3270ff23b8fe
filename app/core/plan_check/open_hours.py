"""Whether open hours really do not hold what a plan leaves undone because of them."""

from collections.abc import Iterator, Sequence

from app.core.plan_check.counts import BLOCKS, may_stop
from app.core.plan_check.faults import lot_is_faulty
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case
from app.core.plan_check.standstill import stands_still
from app.core.plan_check.violations import Rule, Violation
from app.core.shop import Lot


def never_fits(case: Case, lot: Lot, index: int, stop: Stop) -> bool:
    """Tell whether an operation has pieces for which no station, or no hour to take them in, comes in time."""
    to_begin = stop.count.total - stop.operation.in_work
    return stop.count.total > 0 and _has_no_hours(case, lot, index, stop, to_begin)


def violations(case: Case, lot: Lot, stops: Sequence[Stop]) -> Iterator[Violation]:
    """Yield what a lot that open hours stop somewhere leaves undone though a station has the hours for it."""
    if lot.hold is not None or lot_is_faulty(lot) or not may_stop(case, lot):
        return
    come = True  # all that leaves the operation before; behind one that keeps pieces back others may wait for them
    for index, stop in enumerate(stops):
        here = (len(stop.there) if come else stop.operation.waiting) + sum(row.run.pieces for row in stop.begun)
        left = min(stop.count.most, here) - stop.done
        together = left if come else stop.count.most - stop.operation.in_work  # what waits for them must fit with them
        if left > 0 and stop.count.trouble not in BLOCKS and not _has_no_hours(case, lot, index, stop, together):
            told = f"{left} of its pieces are left undone, and there are hours for them"
            yield Violation(Rule.COUNT, told, lot.key, index)
        come = come and stop.done == stop.count.total


def _has_no_hours(case: Case, lot: Lot, index: int, stop: Stop, pieces: int) -> bool:
    """Tell whether no station, or no hour, comes for the largest run of so many pieces once all that it takes is there.

    Of component lots that is when the plan says that they are finished, which is proved where they are.
    """
    missing = stop.operation.not_before
    expected = [] if missing is None else [missing.time]
    expected += [case.finish_told(key) for key in stop.operation.components]
    known = [second for second in expected if second is not None]
    since = max([case.shop.now, lot.released, *known, *stop.there, *(row.run.end for row in stop.begun)])
    largest = min(stop.count.most - stop.operation.in_work, stop.most_in_one)
    return stands_still(case, lot, index, min(pieces, stop.most_in_one), since, largest)
