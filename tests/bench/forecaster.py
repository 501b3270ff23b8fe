"""What a forecaster learns from a world's books: no more than was recorded by then."""

from collections import defaultdict
from dataclasses import dataclass, field

from app.core.chances.spreads import STATED_SETUP, STATED_WORK, Spread, learned
from app.core.chances.uncertainty import Breakdowns, NewOrders, Odds, Uncertainty
from app.core.shop import LeadTime, Shop, SinglePiece
from tests.bench.worlds import DAY, START, World


@dataclass
class History:
    """What was recorded of the past."""

    setups: list[float] = field(default_factory=list)
    work: list[float] = field(default_factory=list)
    by_step: dict[tuple[int, str], list[float]] = field(default_factory=lambda: defaultdict(list))
    days_late: list[int] = field(default_factory=list)
    lost: int = 0
    done: int = 0


def history_of(world: World, shop: Shop) -> History:
    """Return what had been signed off by the shop's ``now``."""
    found = History()
    calendars = {station.key: station.calendar for station in shop.stations}
    following = _next_begun(world, shop.now)
    for lot in world.lots:
        for index, operation in enumerate(lot.operations):
            run, signed = world.runs[lot.key, index], world.signed[lot.key, index]
            if signed > shop.now:
                break
            after = world.runs.get((lot.key, index + 1))
            if after is not None:
                found.done += run.pieces
                found.lost += run.pieces - after.pieces
            if isinstance(operation.taking, LeadTime):
                found.days_late.append(round((run.end - run.start) / DAY) - operation.taking.days)
            elif isinstance(operation.taking, SinglePiece) and run.station is not None:
                planned = run.pieces * operation.taking.cycle_ms / 1000
                end = min(signed, following.get((lot.key, index), signed))
                spent = calendars[run.station].work_between(run.start, end) - run.setup_s
                if operation.setup_s:
                    found.setups.append(run.setup_s / operation.setup_s)
                found.work.append(spent / planned)
                found.by_step[world.parts[lot.key], operation.key].append(spent / planned)
    return found


def _next_begun(world: World, now: int) -> dict[tuple[str, int], int]:
    """Return when the station began its next run: the one before had ended by then, whenever it was signed off."""
    begun = sorted((run.start, key) for key, run in world.runs.items() if run.station is not None and run.start <= now)
    found, last = {}, dict[str | None, tuple[str, int]]()
    for start, key in begun:
        station = world.runs[key].station
        if station in last:
            found[last[station]] = start
        last[station] = key
    return found


def uncertainty_of(world: World, shop: Shop) -> Uncertainty:
    """Return what the books teach about what is to come."""
    history = history_of(world, shop)
    setup, usual = learned(history.setups, STATED_SETUP), learned(history.work, STATED_WORK)
    scrap = min(0.5, history.lost / history.done) if history.done else 0.0
    days_late = tuple(history.days_late) or (0,)
    spreads: dict[tuple[int, str], Spread] = {}
    operations = {}
    for lot in shop.lots:
        for operation in lot.operations:
            step = world.parts[lot.key], operation.key
            if step not in spreads:
                spreads[step] = learned(history.by_step.get(step, []), usual)
            operations[lot.key, operation.key] = Odds(setup, spreads[step], scrap, days_late)
    return Uncertainty(
        operations, Odds(setup, usual, scrap, days_late), _breakdowns(world, shop), _orders(world, shop.now)
    )


def _breakdowns(world: World, shop: Shop) -> dict[str, Breakdowns]:
    """Return the same for all stations: how often and how long they were down so far."""
    over = [each for downs in world.downtimes.values() for each in downs if each.end <= shop.now]
    if not over:
        return {}
    attended = sum(station.calendar.work_between(START, shop.now) for station in shop.stations)
    same = Breakdowns(max(1, attended // len(over)), tuple(each.end - each.start for each in over))
    return {station.key: same for station in shop.stations}


def _orders(world: World, now: int) -> NewOrders | None:
    """Return new orders as often as they came so far, and like the last of them."""
    seen = tuple(lot for lot in world.lots if lot.released <= now)
    return NewOrders((now - START) // len(seen), seen[-60:]) if seen else None
