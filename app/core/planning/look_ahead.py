"""What rules of dispatch look at: the work of each operation and of what follows, its lot's due date and weight."""

from collections.abc import Sequence
from math import log
from typing import Final

from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.flattening import Tables, put_rows
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.layout import DAY_S
from app.core.planning.packing import Packing

RULES: Final = (
    (la.BY_ARRIVAL, 1),
    (la.BY_DUE, 1),
    (la.BY_WORK, 1),
    (la.BY_SLACK, 1),
    (la.BY_RATIO, 1),
    (la.BY_VALUE, 1),
    (la.BY_REMAINING, 1),
    *((la.BY_COST, tenths) for tenths in (5, 10, 15, 20, 30, 40, 50, 80, 120)),
)
"""Rules of dispatch and their factors in tenths."""
BY_LATENESS: Final = {la.BY_DUE, la.BY_SLACK, la.BY_RATIO, la.BY_COST}


def rules_for(*, makespan: bool) -> list[tuple[int, int]]:
    """Return the rules to try; where only the last finish counts, none that look at due dates."""
    return [(rule, tenths) for rule, tenths in RULES if not (makespan and rule in BY_LATENESS)]


def put_look_ahead(
    fixed: list[int], packing: Packing, steps: Sequence[list[int]], by_lot: Sequence[Sequence[int]]
) -> None:
    """Put operations, whose rows have their lot and work, and the lots that have these behind a shop's array."""
    for lot, ops in enumerate(by_lot):
        remaining = 0
        for op in reversed(ops):
            step = steps[op]
            remaining += step[la.A_WORK]
            step[la.A_REMAINING] = remaining
            step[la.A_VALUE] = round(1e6 * log(max(1, packing.lots[lot].weight) / step[la.A_WORK]))
    put_rows(fixed, a.F_STEPS, steps)
    fixed[a.F_MEAN_WORK] = max(1, sum(step[la.A_WORK] for step in steps) // max(1, len(steps)))
    put_rows(
        fixed, a.F_JOURNEY_STEPS, [_journey(row, ops) for row, ops in zip(packing.tables.lots, by_lot, strict=True)]
    )


def put_all_ahead(fixed: list[int], packing: Packing) -> None:
    """Put what rules look at behind the array of any shop, each operation in its own place."""
    steps: list[list[int]] = []
    by_lot: list[list[int]] = [[] for _ in packing.lots]
    for op, row in enumerate(packing.tables.ops):
        step = [0] * la.STEP_COLUMNS
        step[la.A_LOT], step[la.A_WORK] = row[a.O_LOT], max(1, work_of(packing, row))
        steps.append(step)
        by_lot[row[a.O_LOT]].append(op)
    put_look_ahead(fixed, packing, steps, by_lot)


def work_of(packing: Packing, row: list[int]) -> int:
    """Return the seconds that an operation takes with its set-up at the first of its stations, or outside."""
    if row[a.O_POOL] < 0:
        return row[a.O_DAYS] * DAY_S
    first = packing.tables.pools[row[a.O_POOL]][a.P_STATIONS]
    return row[a.O_SETUP] + work_at(packing.tables, row, packing.tables.pool_stations[first])


def work_at(tables: Tables, row: list[int], station: int) -> int:
    """Return the seconds that the pieces of an operation take in one run at a station, without set-up."""
    pieces = row[a.O_LEFT]
    return whole_seconds(done_ms(row + tables.stations[station], 0, a.OP_COLUMNS, pieces, pieces, -1)) if pieces else 0


def _journey(row: Sequence[int], ops: Sequence[int]) -> list[int]:
    """Return the row of a lot."""
    journey = [0] * la.JOURNEY_STEP_COLUMNS
    if ops:
        journey[la.W_FIRST], journey[la.W_END] = ops[0], ops[-1] + 1
    journey[la.W_DUE], journey[la.W_WEIGHT] = min(row[a.L_DUE], a.NEVER_DUE), row[a.L_WEIGHT]
    return journey
