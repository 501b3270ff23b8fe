"""The plan that a list stands for."""

from collections.abc import Sequence

from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.kernels.appending import decode_list, setup_after
from app.core.planning.kernels.rows import course_at, step_at
from app.core.planning.listing import Line
from app.core.planning.outcome import plan_from
from app.core.planning.result_file import Plan, PlannedLot, PlannedRun


def plan_of_list(line: Line, lots: Sequence[int]) -> Plan:
    """Return the plan of a list of lots: each operation appended to its station in that order."""
    course = [0] * line.course_length
    first = line.fixed[a.F_PLACES]
    for place, lot in enumerate(lots):
        course[first + place * la.PLACE_COLUMNS + la.D_LOT] = lot
    decode_list(line.fixed, course)
    shop, packing = line.packing.shop, line.packing
    runs, finish = [], dict.fromkeys(range(len(packing.lots)), 0)
    for step, op in enumerate(line.operations):
        lot, index = packing.operations[op]
        row = course_at(line.fixed, step)
        station, end = course[row + la.G_STATION], course[row + la.G_END]
        setup = setup_after(line.fixed, course[row + la.G_BEFORE], station, step_at(line.fixed, step))
        finish[lot] = max(finish[lot], end)
        runs.append(
            PlannedRun(
                lot=packing.lots[lot].key,
                index=index,
                station=shop.stations[station].key,
                start=course[row + la.G_START] + shop.now,
                end=end + shop.now,
                pieces=packing.tables.ops[op][a.O_LEFT],
                setup_s=setup,
                load=step + 1,
            )
        )
    finished = [PlannedLot(packing.lots[lot].key, "planned", end + shop.now) for lot, end in finish.items()]
    return plan_from(shop, finished, runs)
