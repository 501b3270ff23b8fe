"""Plans of small shops in minutes from Monday 00:00."""

from dataclasses import replace

from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.result_file import Plan
from app.core.shop import Crew, Shop
from tests.core.shops import minutes


def plan(shop: Shop, *crews: Crew) -> Plan:
    """Return the plan of a shop, whose people are the crews where any are given."""
    return plan_of_arrays(decode(replace(shop, people=crews) if crews else shop))


def runs(found: Plan, key: str, index: int = 0) -> list[tuple[float | None, float | None]]:
    """Return start and end of each run of an operation of a lot."""
    return [(minutes(run.start), minutes(run.end)) for run in found.operations if (run.lot, run.index) == (key, index)]


def finishes(found: Plan) -> dict[str, float | None]:
    """Return when each lot is finished."""
    return {one.lot: minutes(one.finish) for one in found.lots}
