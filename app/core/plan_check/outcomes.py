"""What a plan says of its lots and of itself: statuses that are true, finishes and sums that add up."""

from collections.abc import Iterator, Mapping

from app.core.plan_check.counts import BAD_INPUT, HELD, NO_BLANKS, NO_COMPONENTS, NO_OPEN_HOURS, NO_STATION, PLANNED
from app.core.plan_check.open_hours import has_no_hours, lacks_a_lot
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case
from app.core.plan_check.violations import Rule, Violation
from app.core.shop import Lot

_WHOLLY, _PARTLY = "planned", "partly planned"
_STATUSES = {HELD, NO_BLANKS, NO_STATION, NO_COMPONENTS, BAD_INPUT, NO_OPEN_HOURS}


def finish_of(case: Case, stops: list[Stop]) -> int:
    """Return when the last piece of a lot is through its last operation."""
    return max([case.shop.now, *(stops[-1].gone if stops else [])])


def violations(case: Case, stops: Mapping[str, list[Stop]]) -> Iterator[Violation]:
    """Yield what is said and not so."""
    told = [one.lot for one in case.plan.lots]
    for key in sorted({*told} ^ {*case.lots} | {key for key in told if told.count(key) > 1}):
        yield Violation(Rule.STATUS, "must have one entry among the plan's lots, and be in the problem", key)
    for one in case.plan.lots:
        lot = case.lots.get(one.lot)
        if lot is None:
            continue
        yield from _status_violations(case, lot, stops[lot.key])
        if one.status == PLANNED and one.finish != finish_of(case, stops[lot.key]):
            yield Violation(Rule.FINISH, f"{one.finish} instead of {finish_of(case, stops[lot.key])}", lot.key)
        if one.status != PLANNED and (one.finish is not None or not one.reason):
            yield Violation(Rule.STATUS, "is not planned, so it has a reason and no finish", lot.key)
    yield from _total_violations(case, stops)


def _status_violations(case: Case, lot: Lot, stops: list[Stop]) -> Iterator[Violation]:
    """A lot is planned exactly when nothing stands in its way, and else for a reason it has."""
    status = case.status_of(lot.key)
    troubles = set[str]().union(*(stop.count.troubles for stop in stops))
    left = [(index, stop) for index, stop in enumerate(stops) if stop.left > 0]
    if status == PLANNED:
        if troubles:
            yield Violation(Rule.STATUS, f"is planned, and yet: {', '.join(sorted(map(str, troubles)))}", lot.key)
        for index, stop in left:
            yield Violation(Rule.COUNT, f"{stop.left} pieces of a planned lot are left undone", lot.key, index)
    elif status not in _STATUSES:
        yield Violation(Rule.STATUS, f"there is no status {status!r}", lot.key)
    elif status not in troubles and not any(_stops_it(case, lot, index, stop, status) for index, stop in left):
        yield Violation(Rule.STATUS, f"nothing makes it {status!r}", lot.key)


def _stops_it(case: Case, lot: Lot, index: int, stop: Stop, status: str) -> bool:
    """Tell whether a status that only planning shows is that of an operation which leaves pieces undone."""
    if status == NO_COMPONENTS:
        return stop.count.coming > stop.operation.in_work and lacks_a_lot(case, stop.operation)
    return status == NO_OPEN_HOURS and has_no_hours(case, lot, index, stop)


def _total_violations(case: Case, stops: Mapping[str, list[Stop]]) -> Iterator[Violation]:
    plan, now = case.plan, case.shop.now
    planned = [lot for lot in case.shop.lots if case.status_of(lot.key) == PLANNED]
    finish = {lot.key: finish_of(case, stops[lot.key]) for lot in planned}
    late = {lot.key: max(0, finish[lot.key] - lot.due) for lot in planned if lot.due is not None}
    expected = {
        "status": _WHOLLY if len(planned) == len(case.shop.lots) else _PARTLY,
        "makespan": max([now, *finish.values()]) - now,
        "weighted_tardiness": sum(case.lots[key].weight * seconds for key, seconds in late.items()),
        "late": sum(seconds > 0 for seconds in late.values()),
    }
    for name, value in expected.items():
        if getattr(plan, name) != value:
            yield Violation(Rule.TOTALS, f"{name} is {value}, not {getattr(plan, name)}")
