"""Plans for tests of the checker: those that the decoder makes, and those written by hand in few words."""

from typing import Any

from app.core.plan_check import Rule, check
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.result_file import Plan, PlannedLot, PlannedRun
from app.core.shop import Shop
from tests.core.shops import MINUTE, at


def summed_up(shop: Shop, lots: list[PlannedLot], rows: list[PlannedRun]) -> Plan:
    """Return a plan with the totals of its lots."""
    known = {lot.key: lot for lot in shop.lots}
    planned = [one for one in lots if one.finish is not None]
    late = {one.lot: max(0, one.finish - known[one.lot].due) for one in planned if known[one.lot].due is not None}
    return Plan(
        status="planned" if len(planned) == len(shop.lots) else "partly planned",
        makespan=max([shop.now, *(one.finish for one in planned)]) - shop.now,
        weighted_tardiness=sum(known[key].weight * seconds for key, seconds in late.items()),
        late=sum(seconds > 0 for seconds in late.values()),
        lots=tuple(lots),
        operations=tuple(rows),
    )


def forecast_plan(shop: Shop) -> Plan:
    """Return the plan that the decoder makes for a shop."""
    return plan_of_arrays(decode(shop))


def row(
    lot: str, index: int, station: str | None, start: float, end: float, pieces: int = 1, **more: Any
) -> PlannedRun:
    """Return a run from ``start`` to ``end`` minutes after Monday 00:00; ``setup`` is in minutes."""
    setup_s = round(more.pop("setup", 0) * MINUTE)
    return PlannedRun(lot, index, station, at(start), at(end), pieces, setup_s, **more)


def hand_plan(shop: Shop, *rows: PlannedRun, **statuses: str) -> Plan:
    """Return a plan in which every lot is done when its last run ends, but those with another status given."""
    lots = []
    for lot in shop.lots:
        ends = [run.end for run in rows if run.lot == lot.key]
        if lot.key in statuses:
            lots.append(PlannedLot(lot.key, statuses[lot.key], None, "because"))
        else:
            lots.append(PlannedLot(lot.key, "planned", max([shop.now, *ends])))
    return summed_up(shop, lots, list(rows))


def broken(shop: Shop, plan: Plan) -> set[Rule]:
    """Return the rules that a plan breaks."""
    return {violation.rule for violation in check(shop, plan)}


def verdict(shop: Shop, *rows: PlannedRun, **statuses: str) -> set[Rule]:
    """Return the rules that a plan by hand breaks."""
    return broken(shop, hand_plan(shop, *rows, **statuses))
