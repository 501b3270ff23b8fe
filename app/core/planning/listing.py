"""Shops whose plan is a list: what the quick form of the decoder, and the search on it, read and write.

Where every operation is one run of all its pieces, and nothing needs people, shared batches, a look at the clock or a
station that is already set up for it, a plan is decided by the order in which operations are appended to their
stations. A list names lots; the k-th time that a lot comes means its k-th operation, so that every list is a plan.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.flattening import flatten, put_rows
from app.core.planning.look_ahead import put_look_ahead, work_at
from app.core.planning.packing import Packing


@dataclass(frozen=True, slots=True)
class Line:
    """A packed shop whose plan is a list.

    Attributes:
        packing: the shop.
        operations: the place in its arrays of each operation of the list.
        fixed: the shop's array, with the operations of the list behind it.
        course_length: length of a list's array.
    """

    packing: Packing
    operations: tuple[int, ...]
    fixed: list[int]
    course_length: int


def as_line(packing: Packing, *, makespan: bool) -> Line | None:
    """Return a packed shop as a line, or None where its plan is more than a list."""
    tables = packing.tables
    pinned = any(lot.pinned is not None for lot in packing.lots)
    more = tables.people or tables.under_way or tables.returns or packing.if_left_over
    if pinned or more or any(packing.troubles):
        return None
    operations = tuple(op for op, row in enumerate(tables.ops) if row[a.O_LEFT] > 0)
    if not operations or not all(_is_plain(packing, op) for op in operations):
        return None
    fixed, _ = flatten(tables, 1)
    by_lot: list[list[int]] = [[] for _ in tables.lots]
    for at, op in enumerate(operations):
        by_lot[tables.ops[op][a.O_LOT]].append(at)
    steps = [_step(packing, fixed, op) for op in operations]
    put_look_ahead(fixed, packing, steps, by_lot)
    soles = [_sole(packing, fixed, op, step) for op, step in zip(operations, steps, strict=True)]
    for lot, ops in enumerate(by_lot):
        for first in ops[:1]:
            soles[first][la.T_NOT_BEFORE] = max(soles[first][la.T_NOT_BEFORE], tables.lots[lot][a.L_RELEASE])
    put_rows(fixed, a.F_SOLES, soles)
    fixed[a.F_CHOICE] = int(any(step[la.A_OPTIONS_END] - step[la.A_OPTIONS] > la.OPTION_COLUMNS for step in steps))
    fixed[a.F_STEPS_COUNT], fixed[a.F_MAKESPAN] = len(steps), int(makespan)
    return Line(packing, operations, fixed, _course_parts(fixed))


def _is_plain(packing: Packing, op: int) -> bool:
    """Tell whether an operation is one run of all its pieces, whose time is known."""
    row = packing.tables.ops[op]
    lot, index = packing.operations[op]
    operation = packing.lots[lot].operations[index]
    if row[a.O_KIND] not in {a.SINGLE, a.PALLET, a.BAR} or row[a.O_POOL] < 0 or row[a.O_COMPONENTS]:
        return False
    whole = not row[a.O_COUNTED] and operation.waiting in {0, row[a.O_LEFT]}
    return whole and not row[a.O_SEND] and operation.split == 1


def _step(packing: Packing, fixed: list[int], op: int) -> list[int]:
    """Return the row of an operation, and put its options behind the shop's array."""
    tables, row = packing.tables, packing.tables.ops[op]
    pool = tables.pools[row[a.O_POOL]]
    options = len(fixed)
    for station in tables.pool_stations[pool[a.P_STATIONS] : pool[a.P_STATIONS_END]]:
        fixed += [station, work_at(tables, row, station)]
    step = [0] * la.STEP_COLUMNS
    step[la.A_SETUP], step[la.A_FAMILY], step[la.A_FIXTURE] = row[a.O_SETUP], row[a.O_FAMILY], row[a.O_FIXTURE]
    step[la.A_FIXTURE_SETUP], step[la.A_WORK] = row[a.O_FIXTURE_SETUP], max(1, fixed[options + la.V_WORK])
    step[la.A_OPTIONS], step[la.A_OPTIONS_END], step[la.A_LOT] = options, len(fixed), row[a.O_LOT]
    return step


def _sole(packing: Packing, fixed: Sequence[int], op: int, step: Sequence[int]) -> list[int]:
    """Return the only station of an operation, where what it takes depends neither on others nor on the hour."""
    sole = [0] * la.SOLE_COLUMNS
    sole[la.T_STATION], sole[la.T_NOT_BEFORE] = -1, packing.tables.ops[op][a.O_NOT_BEFORE]
    if step[la.A_OPTIONS_END] - step[la.A_OPTIONS] != la.OPTION_COLUMNS:
        return sole
    station = fixed[a.F_STATIONS] + fixed[step[la.A_OPTIONS] + la.V_STATION] * a.STATION_COLUMNS
    if (
        follows_others(step)
        or fixed[station + a.S_FIT]
        or fixed[station + a.S_ATTENDED] != fixed[station + a.S_RUNNING]
    ):
        return sole
    sole[la.T_STATION] = fixed[step[la.A_OPTIONS] + la.V_STATION]
    sole[la.T_TIME] = step[la.A_SETUP] + fixed[step[la.A_OPTIONS] + la.V_WORK]
    sole[la.T_LAST_SPAN] = fixed[fixed[station + a.S_ATTENDED] + a.K_END]
    return sole


def follows_others(step: Sequence[int]) -> bool:
    """Tell whether the set-up of an operation, by its row, depends on what ran before it."""
    if step[la.A_FIXTURE] and step[la.A_FIXTURE_SETUP] != step[la.A_SETUP]:
        return True
    return step[la.A_SETUP] > 0 and step[la.A_FAMILY] > 0


def _course_parts(fixed: list[int]) -> int:
    """Note where the parts of a list's array begin and return its length; its lots stand right behind its stations."""
    steps, snapshots = fixed[a.F_STEPS_COUNT], (fixed[a.F_STEPS_COUNT] - 1) // la.STRETCH + 1
    stations = fixed[a.F_STATIONS_COUNT] * la.COURSE_STATION_COLUMNS
    lots = fixed[a.F_LOTS_COUNT] * la.COURSE_LOT_COLUMNS
    at = la.M_NUMBERS
    for place, length in (
        (a.F_COURSE_STATIONS, stations),
        (a.F_COURSE_LOTS, lots),
        (a.F_COURSE_STEPS, steps * la.COURSE_STEP_COLUMNS),
        (a.F_PLACES, steps * la.PLACE_COLUMNS),
        (a.F_TRIALS, steps),
        (a.F_STARTS, fixed[a.F_LOTS_COUNT]),
        (a.F_SLOTS, snapshots * la.SLOT_COLUMNS),
        (a.F_SNAPSHOTS, snapshots * la.SLOT_COLUMNS * (la.B_STATE + stations + lots)),
    ):
        fixed[place] = at
        at += length
    return at
