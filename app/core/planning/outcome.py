"""What the decoder's arrays say: the plan of every run and lot."""

from collections.abc import Callable, Iterator
from operator import attrgetter
from typing import Final

from app.core.planning import arrays as a
from app.core.planning.decoding import Decoded
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status, Trouble
from app.core.planning.result_file import PARTLY, PLANNED, Plan, PlannedLot, PlannedRun
from app.core.shop import Shop

Words = Callable[[Obstacle], str]
"""How an obstacle is put into words."""
KIND_ALONE: Final[Words] = attrgetter("kind")
"""Its kind, for plans whose reasons nobody reads."""


def plan_of_arrays(decoded: Decoded, words: Words = KIND_ALONE) -> Plan:
    """Return the plan that a decoder has written."""
    return plan_from(decoded.packing.shop, list(_lots(decoded, words)), list(_runs(decoded)))


def plan_from(shop: Shop, lots: list[PlannedLot], runs: list[PlannedRun]) -> Plan:
    """Return a plan of lots, in the order of the shop, and runs, by their start; with what they come to."""
    order = {lot.key: place for place, lot in enumerate(shop.lots)}
    due = {lot.key: (lot.due, lot.weight) for lot in shop.lots}
    late = weighted = last = 0
    for one in lots:
        day, weight = due[one.lot]
        if one.finish is not None:
            last = max(last, one.finish - shop.now)
            if day is not None and one.finish > day:
                late += 1
                weighted += weight * (one.finish - day)
    status = PLANNED if all(one.status == Status.PLANNED for one in lots) else PARTLY
    lots = sorted(lots, key=lambda one: order[one.lot])
    runs = sorted(runs, key=lambda run: (run.start, run.load))  # the first of a shared batch stays first
    return Plan(status, last, weighted, late, tuple(lots), tuple(runs))


def run_rows(decoded: Decoded) -> list[list[int]]:
    """Return the runs that were planned, with the columns of the arrays; whatever these tell by its number."""
    fixed, state = decoded.arrays
    first, ops, stations = fixed[a.F_RUNS], fixed[a.F_OPS], fixed[a.F_STATIONS]
    places = (first + run * a.RUN_COLUMNS for run in range(state[a.N_RUNS]))
    rows = [[int(each) for each in state[place : place + a.RUN_COLUMNS]] for place in places]
    for row in rows:
        row[a.R_OP] = (row[a.R_OP] - ops) // a.OP_COLUMNS
        if row[a.R_STATION] >= 0:
            row[a.R_STATION] = (row[a.R_STATION] - stations) // a.STATION_COLUMNS
        if row[a.R_AFTER] >= 0:
            row[a.R_AFTER] = (row[a.R_AFTER] - first) // a.RUN_COLUMNS
    return rows


def _runs(decoded: Decoded) -> Iterator[PlannedRun]:
    packing = decoded.packing
    now, stations = packing.shop.now, packing.shop.stations
    for run in run_rows(decoded):
        lot, index = packing.operations[run[a.R_OP]]
        yield PlannedRun(
            lot=packing.lots[lot].key,
            index=index,
            station=stations[run[a.R_STATION]].key if run[a.R_STATION] >= 0 else None,
            start=run[a.R_START] + now,
            end=run[a.R_END] + now,
            pieces=run[a.R_PIECES],
            setup_s=run[a.R_SETUP],
            load=run[a.R_LOAD],
            under_way=bool(run[a.R_UNDER_WAY]),
        )


def _lots(decoded: Decoded, words: Words) -> Iterator[PlannedLot]:
    packing, (fixed, state) = decoded.packing, decoded.arrays
    for place, lot in enumerate(packing.lots):
        row = fixed[a.F_JOURNEYS] + place * a.STATE_LOT_COLUMNS
        worst = obstacle_of(decoded, place)
        if worst is not None:
            yield PlannedLot(lot.key, worst.status, None, words(worst))
        else:
            yield PlannedLot(lot.key, Status.PLANNED, int(state[row + a.Z_FINISH]) + packing.shop.now)


def obstacle_of(decoded: Decoded, place: int) -> Obstacle | None:
    """Return the gravest of what keeps a lot from being planned to its end; None for a planned lot."""
    troubles = decoded.packing.troubles[place] or _left_over(decoded, place)
    return min(troubles, key=lambda each: each.rank).obstacle if troubles else None


def _left_over(decoded: Decoded, place: int) -> list[Trouble]:
    """Return why pieces of a lot went no further, where nothing was known before: the first operation with any."""
    packing, (fixed, state) = decoded.packing, decoded.arrays
    first = packing.tables.lots[place][a.L_FIRST]
    for index, operation in enumerate(packing.lots[place].operations):
        task = fixed[a.F_TASKS] + (first + index) * a.STATE_OP_COLUMNS
        if state[task + a.X_LEFT] == 0:
            continue
        if state[task + a.X_MISSING] > 0 and packing.tables.ops[first + index][a.O_LEFT] > operation.in_work:
            waited = ", ".join(key for key in operation.components if not _finished(decoded, key))
            return [Trouble(index, Obstacle(ObstacleKind.LOT_NOT_FINISHED, operation.key, waited))]
        outside = packing.tables.ops[first + index][a.O_KIND] in {a.LEAD, a.PURCHASE}
        few = packing.if_left_over.get(first + index, ObstacleKind.TOO_FEW_HOURS)
        kind = ObstacleKind.NO_RECEIVING if outside else few
        return [Trouble(index, Obstacle(kind, operation.key))]
    return []


def _finished(decoded: Decoded, key: str) -> bool:
    """Tell whether a lot is finished; one that is not of the shop is."""
    fixed, state = decoded.arrays
    for place, lot in enumerate(decoded.packing.lots):
        if lot.key == key:
            return bool(state[fixed[a.F_JOURNEYS] + place * a.STATE_LOT_COLUMNS + a.Z_LEFT] == 0)
    return True
