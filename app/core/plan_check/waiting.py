"""What an operation waits for besides its own pieces."""

from collections.abc import Iterator, Mapping

from app.core.plan_check.counts import PLANNED
from app.core.plan_check.outcomes import finish_of
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case, Row
from app.core.plan_check.violations import Rule, Violation, of_run


def violations(case: Case, stops: Mapping[str, list[Stop]]) -> Iterator[Violation]:
    """Yield each run that begins without its components."""
    for lot_stops in stops.values():
        for row in (row for stop in lot_stops for row in stop.rows):
            missing = row.operation.not_before
            if missing is not None and (missing.time is None or row.run.start < missing.time):
                until = "" if missing.time is None else f" until {missing.time}"
                yield of_run(Rule.COMPONENT, row.run, f"{missing.what} is missing{until}")
            for key in row.operation.components:
                yield from _component_violations(case, stops, row, key)


def _component_violations(case: Case, stops: Mapping[str, list[Stop]], row: Row, key: str) -> Iterator[Violation]:
    if key not in case.lots:
        return
    if case.status_of(key) != PLANNED:
        yield of_run(Rule.COMPONENT, row.run, f"lot {key} is not finished in this plan")
    elif row.run.start < finish_of(case, stops[key]):
        yield of_run(Rule.COMPONENT, row.run, f"lot {key} is finished at {finish_of(case, stops[key])}")
