"""Proves that a plan keeps every rule of the model in ``app.core.planning``; shares no code with what makes plans.

It reckons calendars, loads and pieces in a slow and plain way of its own: what it uses from elsewhere are the
dataclasses of problem and plan. Whether a better order of work was to be had is no rule, so it is not asked; only of
batches it is proved that they wait for nothing but what they may wait for (``company``) and leave nothing behind that
goes into them (``room_left``).
"""

from app.core.plan_check import (
    at_stations,
    batches,
    company,
    counts,
    open_hours,
    outcomes,
    outside,
    people,
    pieces,
    room_left,
    under_way,
    waiting,
)
from app.core.plan_check.rows import Case
from app.core.plan_check.sharers import sharers
from app.core.plan_check.violations import Rule, Violation
from app.core.planning.result_file import Plan
from app.core.shop import Shop

__all__ = ["Rule", "Violation", "check"]


def check(shop: Shop, plan: Plan) -> tuple[Violation, ...]:
    """Return every rule that a plan for a shop breaks; none when it is right."""
    case = Case(shop, plan)
    to_do = counts.counts(case)
    found = [*case.unusable, *at_stations.violations(case), *under_way.violations(case, to_do)]
    stops = {lot.key: pieces.stops(case, lot, to_do[lot.key]) for lot in shop.lots}
    for lot in shop.lots:
        found += pieces.violations(lot, stops[lot.key], case)
        found += open_hours.violations(case, lot, stops[lot.key])
    found += waiting.violations(case, stops)
    found += batches.violations(case)
    in_batches = [sharer for lot in shop.lots for sharer in sharers(case, stops, lot)]
    found += company.violations(case, stops, in_batches)
    found += room_left.violations(case, in_batches)
    found += outside.violations(case)
    found += people.violations(case)
    found += outcomes.violations(case, stops)
    return tuple(found)
