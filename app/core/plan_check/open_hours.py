"""Whether open hours really do not hold the work of an operation, as a plan may say of a lot."""

from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case
from app.core.plan_check.standstill import stands_still
from app.core.shop import Lot


def never_fits(case: Case, lot: Lot, index: int, stop: Stop) -> bool:
    """Tell whether an operation has pieces for which no station, or no hour to take them in, comes in time."""
    if not stop.count.total:
        return False
    missing = stop.operation.not_before
    expected = [missing.time] if missing is not None and missing.time is not None else []
    since = max([case.shop.now, lot.released, *expected, *stop.there, *(row.run.end for row in stop.begun)])
    return stands_still(case, lot, index, stop.count.total, since)
