"""Append decoding: the operations of a list one after another, each at the end of its station's plan.

The quick form of the decoder, for shops whose plan is a list (see ``app.core.planning.listing``): what each operation
takes is known beforehand, so that no event is needed. ``c`` is a list's array.
"""

from app.core.planning.arrays import (
    A_FAMILY,
    A_FIXTURE,
    A_FIXTURE_SETUP,
    A_NOT_BEFORE,
    A_OPTIONS,
    A_OPTIONS_END,
    A_SETUP,
    COURSE_LOT_COLUMNS,
    COURSE_STATION_COLUMNS,
    COURSE_STEP_COLUMNS,
    D_LOT,
    D_OP,
    D_TRIAL_OP,
    F_CHOICE,
    F_COURSE_LOTS,
    F_COURSE_STATIONS,
    F_COURSE_STEPS,
    F_JOURNEY_STEPS,
    F_LOTS_COUNT,
    F_MAKESPAN,
    F_SPANS,
    F_STATIONS_COUNT,
    F_STEPS_COUNT,
    FOREVER,
    G_BEFORE,
    G_END,
    G_OP,
    G_PLACE,
    G_SPAN,
    G_START,
    G_STATION,
    G_TRIAL_BEFORE,
    G_TRIAL_END,
    G_TRIAL_SPAN,
    G_TRIAL_START,
    G_TRIAL_STATION,
    H_FREE,
    H_LAST,
    H_SPAN,
    I_COUNT,
    I_READY,
    JOURNEY_STEP_COLUMNS,
    K_END,
    K_FIRST,
    M_PLANNED,
    M_SPAN,
    M_START,
    OPTION_COLUMNS,
    PLACE_COLUMNS,
    S_ATTENDED,
    S_FAMILY,
    S_FIT,
    S_FIXTURE,
    S_RUNNING,
    V_STATION,
    V_WORK,
    W_DUE,
    W_END,
    W_FIRST,
    W_WEIGHT,
    Packed,
    State,
)
from app.core.planning.kernels.rows import (
    calendar_at,
    course_at,
    course_lot_at,
    course_station_at,
    journey_steps_at,
    place_at,
    station_at,
    step_at,
)
from app.core.planning.kernels.spans import closing, finish, next_open


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
    if p[where + S_FIT] == 1:
        while start >= 0 and start + long > closing(p, attended, start):
            start = next_open(p, attended, closing(p, attended, start))
    return start


def ends_at(p: Packed, where: int, start: int, setup: int, work: int) -> int:
    """Return when a run that starts at a station ends, or -1."""
    base = finish(p, p[where + S_ATTENDED], start, setup)
    return -1 if base < 0 else finish(p, p[where + S_RUNNING], base, work)


def append(p: Packed, c: State, op: int, ready: int) -> int:
    """Append an operation, whose pieces are ready, at the station that ends it first; return its end, or -1."""
    step = step_at(p, op)
    row = course_at(p, op)
    ready = max(ready, p[step + A_NOT_BEFORE])
    best = -1
    for option in range(p[step + A_OPTIONS], p[step + A_OPTIONS_END], OPTION_COLUMNS):
        station = p[option + V_STATION]
        bench = course_station_at(p, station)
        setup = setup_after(p, c[bench + H_LAST], station, step)
        end = put(p, c, station, max(ready, c[bench + H_FREE]), setup, p[option + V_WORK])
        if end >= 0 and (best < 0 or end < best):
            best = end
            c[row + G_TRIAL_START], c[row + G_TRIAL_SPAN] = c[M_START], c[M_SPAN]
            c[row + G_TRIAL_STATION] = station
    if best >= 0:
        bench = course_station_at(p, c[row + G_TRIAL_STATION])
        c[row + G_TRIAL_END] = best
        c[row + G_TRIAL_BEFORE] = c[bench + H_LAST]
        c[bench + H_FREE], c[bench + H_LAST], c[bench + H_SPAN] = best, op, c[row + G_TRIAL_SPAN]
    return best


def put(p: Packed, c: State, station: int, earliest: int, setup: int, work: int) -> int:
    """Return when a run ends that starts at a station as soon as it can, or -1; its start goes to ``M_START``.

    Where work only pauses, the station's spans are walked through from where it is: most work ends a span or two later.
    """
    where = station_at(p, station)
    span = c[course_station_at(p, station) + H_SPAN]
    if p[where + S_FIT] == 1 or p[where + S_ATTENDED] != p[where + S_RUNNING]:
        c[M_SPAN] = span
        c[M_START] = starts_at(p, where, earliest, setup + work)
        return -1 if c[M_START] < 0 else ends_at(p, where, c[M_START], setup, work)
    last = p[calendar_at(p, p[where + S_ATTENDED]) + K_END]
    closed = p[F_SPANS]
    while span < last and p[span + closed] <= earliest:
        span += 1
    if span == last:
        return -1
    begun = max(earliest, p[span])
    c[M_START] = begun
    left = setup + work
    while left > p[span + closed] - begun:
        left -= p[span + closed] - begun
        span += 1
        if span == last:
            return -1
        begun = p[span]
    c[M_SPAN] = span
    return begun + left


def begin_trial(p: Packed, c: State, until: int) -> None:
    """Take over what stands before place ``until``."""
    for station in range(p[F_STATIONS_COUNT]):
        bench = course_station_at(p, station)
        c[bench + H_FREE], c[bench + H_LAST] = 0, -1
        c[bench + H_SPAN] = p[calendar_at(p, p[station_at(p, station) + S_ATTENDED]) + K_FIRST]
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        c[row + I_COUNT] = c[row + I_READY] = 0
    for at in range(until):
        place = place_at(p, at)
        op = c[place + D_OP]
        course = course_at(p, op)
        end = c[course + G_END]
        bench = course_station_at(p, c[course + G_STATION])
        c[bench + H_FREE], c[bench + H_LAST], c[bench + H_SPAN] = end, op, c[course + G_SPAN]
        row = course_lot_at(p, c[place + D_LOT])
        c[row + I_COUNT] += 1
        c[row + I_READY] = end


def with_lot(p: Packed, lot: int, end: int, cost: int) -> int:
    """Return a cost with that of one more lot, finished at ``end``."""
    if p[F_MAKESPAN] == 1:
        return max(cost, end)
    row = journey_steps_at(p, lot)
    return cost + p[row + W_WEIGHT] * max(0, end - p[row + W_DUE])


def finished_cost(p: Packed, c: State) -> int:
    """Return the cost of the lots that the trial has finished so far."""
    cost = 0
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        journey = journey_steps_at(p, lot)
        if 0 < c[row + I_COUNT] == p[journey + W_END] - p[journey + W_FIRST]:
            cost = with_lot(p, lot, c[row + I_READY], cost)
    return cost


def try_from(p: Packed, c: State, first: int, limit: int) -> int:
    """Decode the list from place ``first`` on and return its cost; it may give up once that is above ``limit``.

    An operation that follows at its station and in its lot what it follows in the plan, at the same times, keeps its
    own.
    """
    begin_trial(p, c, first)
    cost = finished_cost(p, c)
    # What the loop needs of the heads, read once: it is where a search spends its time.
    courses, lots, journeys = p[F_COURSE_STEPS], p[F_COURSE_LOTS], p[F_JOURNEY_STEPS]
    keeps = c[M_PLANNED] == 1 and p[F_CHOICE] == 0
    for place in range(place_at(p, first), place_at(p, p[F_STEPS_COUNT]), PLACE_COLUMNS):
        lot = c[place + D_LOT]
        row = lots + lot * COURSE_LOT_COLUMNS
        journey = journeys + lot * JOURNEY_STEP_COLUMNS
        count = c[row + I_COUNT]
        op = p[journey + W_FIRST] + count
        course = courses + op * COURSE_STEP_COLUMNS
        ready = c[row + I_READY]
        if keeps and ready == (c[course - COURSE_STEP_COLUMNS + G_END] if count > 0 else 0) and follows(p, c, course):
            end = c[course + G_END]
            c[place + D_TRIAL_OP] = 2 * op
        else:
            end = append(p, c, op, ready)
            if end < 0:
                return FOREVER
            c[place + D_TRIAL_OP] = 2 * op + 1
        c[row + I_COUNT] = count + 1
        c[row + I_READY] = end
        if op + 1 == p[journey + W_END]:
            cost = with_lot(p, lot, end, cost)
            if cost > limit:
                return cost
    return cost


def follows(p: Packed, c: State, course: int) -> bool:
    """Tell whether the operation in row ``course`` follows at its station what it follows in the plan; then append it.

    Only for operations of one station.
    """
    bench = p[F_COURSE_STATIONS] + c[course + G_STATION] * COURSE_STATION_COLUMNS
    before = c[course + G_BEFORE]
    if c[bench + H_LAST] != before:
        return False
    if c[bench + H_FREE] != (c[course_at(p, before) + G_END] if before >= 0 else 0):
        return False
    c[bench + H_FREE] = c[course + G_END]
    c[bench + H_LAST] = c[course + G_OP]
    c[bench + H_SPAN] = c[course + G_SPAN]
    return True


def take_trial(p: Packed, c: State, first: int) -> None:
    """Make the trial, which differs from place ``first`` on, the plan."""
    c[M_PLANNED] = 1
    for at in range(first, p[F_STEPS_COUNT]):
        place = place_at(p, at)
        noted = c[place + D_TRIAL_OP]
        op = noted >> 1
        row = course_at(p, op)
        c[place + D_OP] = op
        c[row + G_PLACE] = at
        if noted & 1:
            c[row + G_OP] = op
            c[row + G_START], c[row + G_END] = c[row + G_TRIAL_START], c[row + G_TRIAL_END]
            c[row + G_STATION], c[row + G_BEFORE] = c[row + G_TRIAL_STATION], c[row + G_TRIAL_BEFORE]
            c[row + G_SPAN] = c[row + G_TRIAL_SPAN]


def rotate(p: Packed, c: State, source: int, target: int) -> None:
    """Move what stands at one place of the list to another; what is between moves up by one."""
    lot = c[place_at(p, source) + D_LOT]
    step = 1 if target > source else -1
    at = source
    while at != target:
        c[place_at(p, at) + D_LOT] = c[place_at(p, at + step) + D_LOT]
        at += step
    c[place_at(p, target) + D_LOT] = lot


def put_in_order(p: Packed, c: State, first: int) -> None:
    """Sort the list by the starts of its plan, from place ``first`` on; the plan stays the same.

    Where each operation has one station, that is; so a list is sorted only there.
    """
    for at in range(max(first, 1), p[F_STEPS_COUNT]):
        place = place_at(p, at)
        op, lot = c[place + D_OP], c[place + D_LOT]
        start = c[course_at(p, op) + G_START]
        to = at
        while to > 0 and c[course_at(p, c[place_at(p, to - 1) + D_OP]) + G_START] > start:
            above, below = place_at(p, to), place_at(p, to - 1)
            moved = c[below + D_OP]
            c[above + D_OP], c[above + D_LOT] = moved, c[below + D_LOT]
            c[course_at(p, moved) + G_PLACE] = to
            to -= 1
        if to < at:
            c[place_at(p, to) + D_OP], c[place_at(p, to) + D_LOT] = op, lot
            c[course_at(p, op) + G_PLACE] = to
