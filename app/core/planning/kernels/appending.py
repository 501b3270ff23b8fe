"""Append decoding: the operations of a list one after another, each at the end of its station's plan.

The quick form of the decoder, for shops whose plan is a list (see ``app.core.planning.listing``): what each operation
takes is known beforehand, so that no event is needed. ``c`` is a list's array.
"""

from app.core.planning.arrays import (
    F_LOTS_COUNT,
    F_MAKESPAN,
    F_STATIONS_COUNT,
    F_STEPS_COUNT,
    FOREVER,
    K_END,
    K_FIRST,
    S_ATTENDED,
    S_FAMILY,
    S_FIT,
    S_FIXTURE,
    S_RUNNING,
    SP_CLOSES,
    SP_OPENS,
    SPAN_COLUMNS,
    Packed,
    State,
)
from app.core.planning.kernels.rows import (
    course_at,
    course_lot_at,
    course_station_at,
    journey_steps_at,
    place_at,
    sole_at,
    station_at,
    step_at,
    trial_at,
)
from app.core.planning.kernels.snapshots import begin_snapshots, take_snapshot, tardiness
from app.core.planning.kernels.spans import closing, finish, next_open
from app.core.planning.list_arrays import (
    A_FAMILY,
    A_FIXTURE,
    A_FIXTURE_SETUP,
    A_OPTIONS,
    A_OPTIONS_END,
    A_SETUP,
    D_LOT,
    D_STEP,
    G_BEFORE,
    G_END,
    G_START,
    G_STATION,
    H_FREE,
    H_LAST,
    H_SPAN,
    I_NEXT,
    I_READY,
    M_BEFORE,
    M_COST,
    M_SPAN,
    M_START,
    M_STATION,
    OPTION_COLUMNS,
    STRETCH,
    T_LAST_SPAN,
    T_NOT_BEFORE,
    T_STATION,
    T_TIME,
    V_STATION,
    V_WORK,
    W_END,
    W_FIRST,
)


def setup_after(p: Packed, last: int, station: int, step: int) -> int:
    """Return the set-up of an operation at a station after ``last``, or after what it is set up for (-1)."""
    if last >= 0:
        before = step_at(p, last)
        family, fixture = p[before + A_FAMILY], p[before + A_FIXTURE]
    else:
        where = station_at(p, station)
        family, fixture = p[where + S_FAMILY], p[where + S_FIXTURE]
    if p[step + A_FAMILY] != 0 and p[step + A_FAMILY] == family:
        return 0
    if p[step + A_FIXTURE] != 0 and p[step + A_FIXTURE] == fixture:
        return p[step + A_FIXTURE_SETUP]
    return p[step + A_SETUP]


def starts_at(p: Packed, where: int, earliest: int, long: int) -> int:
    """Return when a run that takes so ``long`` can start at a station, or -1."""
    attended = p[where + S_ATTENDED]
    start = next_open(p, attended, earliest)
    if p[where + S_FIT] > 0:
        while start >= 0 and start + long > closing(p, attended, start):
            start = next_open(p, attended, closing(p, attended, start))
    return start


def ends_at(p: Packed, where: int, start: int, setup: int, work: int) -> int:
    """Return when a run that starts at a station ends, or -1."""
    base = finish(p, p[where + S_ATTENDED], start, setup)
    return -1 if base < 0 else finish(p, p[where + S_RUNNING], base, work)


def append(p: Packed, c: State, op: int, ready: int) -> int:
    """Append an operation, whose pieces are ready, at the station that ends it first; return its end, or -1.

    Its start, its station and the one before it there go to ``M_START``, ``M_STATION`` and ``M_BEFORE``.
    """
    sole = sole_at(p, op)
    if p[sole + T_STATION] < 0:
        return append_first(p, c, op, max(ready, p[sole + T_NOT_BEFORE]))
    bench = course_station_at(p, p[sole + T_STATION])
    c[M_STATION], c[M_BEFORE] = p[sole + T_STATION], c[bench + H_LAST]
    return append_plain(p, c, bench, sole, op, ready)


def append_plain(p: Packed, c: State, bench: int, sole: int, op: int, ready: int) -> int:
    """Append an operation at its only station, where its time does not depend on others; return its end, or -1."""
    earliest = max(ready, p[sole + T_NOT_BEFORE], c[bench + H_FREE])
    end = walk(p, c, c[bench + H_SPAN], p[sole + T_LAST_SPAN], earliest, p[sole + T_TIME])
    c[bench + H_FREE], c[bench + H_LAST], c[bench + H_SPAN] = end, op, c[M_SPAN]
    return end


def append_first(p: Packed, c: State, op: int, ready: int) -> int:
    """Append an operation at the one of its stations that ends it first; return its end, or -1."""
    best, best_start, best_span = -1, 0, 0
    step = step_at(p, op)
    for option in range(p[step + A_OPTIONS], p[step + A_OPTIONS_END], OPTION_COLUMNS):
        station = p[option + V_STATION]
        bench = course_station_at(p, station)
        setup = setup_after(p, c[bench + H_LAST], station, step)
        earliest = max(ready, c[bench + H_FREE])
        end = put(p, c, station, earliest, setup, p[option + V_WORK])
        if end >= 0 and (best < 0 or end < best):
            best, best_start, best_span = end, c[M_START], c[M_SPAN]
            c[M_STATION] = station
    if best >= 0:
        c[M_START] = best_start
        bench = course_station_at(p, c[M_STATION])
        c[M_BEFORE] = c[bench + H_LAST]
        c[bench + H_FREE], c[bench + H_LAST], c[bench + H_SPAN] = best, op, best_span
    return best


def put(p: Packed, c: State, station: int, earliest: int, setup: int, work: int) -> int:
    """Return when a run ends that starts at a station as soon as it can, or -1; start and span as ``walk`` does."""
    where = station_at(p, station)
    span = c[course_station_at(p, station) + H_SPAN]
    if p[where + S_FIT] > 0 or p[where + S_ATTENDED] != p[where + S_RUNNING]:
        c[M_SPAN] = span
        c[M_START] = starts_at(p, where, earliest, setup + work)
        return -1 if c[M_START] < 0 else ends_at(p, where, c[M_START], setup, work)
    return walk(p, c, span, p[p[where + S_ATTENDED] + K_END], earliest, setup + work)


def walk(p: Packed, c: State, span: int, last: int, earliest: int, left: int) -> int:
    """Return when work ends that pauses while its station is closed, or -1; ``M_START`` and ``M_SPAN`` tell the rest.

    The station's spans are walked through from where it is: most work ends a span or two later.
    """
    while span < last and p[span + SP_CLOSES] <= earliest:
        span += SPAN_COLUMNS
    if span == last:
        return -1
    begun = max(earliest, p[span + SP_OPENS])
    c[M_START] = begun
    while left > p[span + SP_CLOSES] - begun:
        left -= p[span + SP_CLOSES] - begun
        span += SPAN_COLUMNS
        if span == last:
            return -1
        begun = p[span + SP_OPENS]
    c[M_SPAN] = span
    return begun + left


def begin_course(p: Packed, c: State) -> None:
    """Begin with nothing appended."""
    for station in range(p[F_STATIONS_COUNT]):
        bench = course_station_at(p, station)
        c[bench + H_FREE], c[bench + H_LAST] = 0, -1
        c[bench + H_SPAN] = p[p[station_at(p, station) + S_ATTENDED] + K_FIRST]
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        c[row + I_NEXT], c[row + I_READY] = p[journey_steps_at(p, lot) + W_FIRST], 0


def append_next(p: Packed, c: State, lot: int) -> int:
    """Append the next operation of a lot; return its end, or -1."""
    row = course_lot_at(p, lot)
    end = append(p, c, c[row + I_NEXT], c[row + I_READY])
    c[row + I_NEXT] += 1
    c[row + I_READY] = end
    return end


def is_complete(p: Packed, c: State, lot: int) -> bool:
    """Tell whether all of a lot is appended."""
    return c[course_lot_at(p, lot) + I_NEXT] == p[journey_steps_at(p, lot) + W_END]


def with_lot(p: Packed, lot: int, end: int, cost: int) -> int:
    """Return a cost with that of one more lot, finished at ``end``."""
    if p[F_MAKESPAN] == 1:
        return max(cost, end)
    return cost + tardiness(p, lot, end)


def decode_list(p: Packed, c: State) -> int:
    """Decode the whole list and note its plan; return its cost, or FOREVER when the calendars do not hold it."""
    begin_course(p, c)
    begin_snapshots(p, c)
    cost = 0
    for at in range(p[F_STEPS_COUNT]):
        if at & (STRETCH - 1) == 0:
            take_snapshot(p, c, at, cost)
        lot = c[place_at(p, at) + D_LOT]
        op = c[course_lot_at(p, lot) + I_NEXT]
        c[place_at(p, at) + D_STEP], c[trial_at(p, at)] = op, lot
        row = course_at(p, op)
        end = append_next(p, c, lot)
        if end < 0:
            return FOREVER
        c[row + G_START], c[row + G_END] = c[M_START], end
        c[row + G_STATION], c[row + G_BEFORE] = c[M_STATION], c[M_BEFORE]
        if is_complete(p, c, lot):
            cost = with_lot(p, lot, end, cost)
    c[M_COST] = cost
    return cost
