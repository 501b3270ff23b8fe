"""What comes from outside: blanks when they are expected, work done elsewhere after its days."""

from collections.abc import Iterator
from datetime import date, timedelta

from app.core.plan_check.hours import DAY, FAR, Hours, NeverDoneError
from app.core.plan_check.rows import Case, Row
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.shop import OpenJob
from app.core.taking import LeadTime, Purchase


def violations(case: Case) -> Iterator[Violation]:
    """Yield what is wrong with lead times and purchases."""
    for lot in case.shop.lots:
        for index, operation in enumerate(lot.operations):
            rows, taking = case.rows_of(lot.key, index), operation.taking
            if isinstance(taking, Purchase):
                yield from _purchase_violations(rows, taking)
            elif isinstance(taking, LeadTime):
                for row in rows:
                    yield from _lead_violations(case, row, taking)


def _purchase_violations(rows: list[Row], taking: Purchase) -> Iterator[Violation]:
    """Each piece comes with the delivery that brings it, neither before nor after."""
    expected = sorted(arrival.time for arrival in taking.arrivals for _ in range(arrival.pieces))
    came = sorted(((row.run.end, n) for n, row in enumerate(rows) for _ in range(row.run.pieces)))
    told: set[int] = set()
    for (end, n), time in zip(came, expected, strict=False):
        run = rows[n].run
        if end != max(run.start, time) and n not in told:
            told.add(n)
            yield of_run(Rule.BLANKS, run, f"its blanks are expected at {time}")


def _lead_violations(case: Case, row: Row, taking: LeadTime) -> Iterator[Violation]:
    if was_sent_out(case, row):
        return
    back = back_at(case, row.run.start, taking)
    if row.run.end != back:
        yield of_run(Rule.OUTSIDE, row.run, "it never comes back" if back is None else f"it comes back at {back}")


def was_sent_out(case: Case, row: Row) -> bool:
    """Tell whether a run outside is the return of pieces sent out before the plan."""
    taking = row.operation.taking
    if not isinstance(taking, LeadTime) or row.run.start != case.shop.now:
        return False
    return any(
        job.pieces == row.run.pieces and row.run.end == returns(case, job, taking) for job in row.operation.open_jobs
    )


def returns(case: Case, job: OpenJob, taking: LeadTime) -> int | None:
    """Return when pieces that were sent out come back; at the next open second where they should be back already."""
    now = case.shop.now
    back = back_at(case, max(job.started_at, now - FAR), taking)
    return _taken_in(case, now) if back is not None and back < now else back


def back_at(case: Case, sent_at: int, taking: LeadTime) -> int | None:
    """Return when pieces sent out at a second come back; None when the shop does not take them in within ten years."""
    hours = Hours(case.shop.receiving.hours)
    local = hours.local(sent_at)
    day, since_midnight = local.date(), timedelta(hours=local.hour, minutes=local.minute, seconds=local.second)
    left = taking.days
    while left and day.toordinal() - local.date().toordinal() < FAR // DAY:
        day += timedelta(days=1)
        left -= not taking.working_days or _is_working_day(case, hours, day)
    return None if left else _taken_in(case, max(sent_at, hours.wall(day, since_midnight)))


def _taken_in(case: Case, second: int) -> int | None:
    """Return when the shop first takes goods in from a second on; None when it does not within ten years."""
    try:
        return case.receiving.next(second)
    except NeverDoneError:
        return None


def _is_working_day(case: Case, hours: Hours, day: date) -> bool:
    midnight, next_midnight = (hours.wall(one, timedelta()) for one in (day, day + timedelta(days=1)))
    return case.receiving.count(midnight, next_midnight) > 0
