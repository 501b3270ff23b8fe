"""Rules of dispatch for a shop whose plan is a list: at each free station, who goes first by what is known then.

First come first served, due date, shortest work, slack, critical ratio, weighted shortest work, most work remaining,
and the apparent tardiness cost (Vepsalainen and Morton, Management Science 33 (1987) 1035-1047) with a factor.
"""

from app.core.planning.arrays import F_LOTS_COUNT, F_MEAN_WORK, F_STARTS, F_STEPS_COUNT, FOREVER, Packed, State
from app.core.planning.kernels.appending import append_next, begin_course, decode_list, starts_at
from app.core.planning.kernels.rows import (
    course_lot_at,
    course_station_at,
    journey_steps_at,
    place_at,
    sole_at,
    station_at,
    step_at,
)
from app.core.planning.list_arrays import (
    A_LOT,
    A_OPTIONS,
    A_OPTIONS_END,
    A_REMAINING,
    A_VALUE,
    A_WORK,
    BY_ARRIVAL,
    BY_COST,
    BY_DUE,
    BY_RATIO,
    BY_REMAINING,
    BY_SLACK,
    BY_WORK,
    D_LOT,
    H_FREE,
    I_NEXT,
    I_READY,
    M_STATION,
    OPTION_COLUMNS,
    T_NOT_BEFORE,
    V_STATION,
    V_WORK,
    W_DUE,
    W_END,
)


def urgency(p: Packed, op: int, now: int, ready: int, rule: int, factor: int) -> int:
    """Return what decides between operations that could begin ``now``: the least goes first. Factors are tenths."""
    step = step_at(p, op)
    due = p[journey_steps_at(p, p[step + A_LOT]) + W_DUE]
    slack = due - now - p[step + A_REMAINING]
    if rule == BY_ARRIVAL:
        return ready
    if rule == BY_SLACK:
        return slack
    if rule == BY_RATIO:
        return (due - now) * 1000 // p[step + A_REMAINING]
    if rule == BY_COST:
        return max(slack, 0) * 10_000_000 // (factor * p[F_MEAN_WORK]) - p[step + A_VALUE]
    return standing_urgency(p, step, due, rule)


def standing_urgency(p: Packed, step: int, due: int, rule: int) -> int:
    """Return what decides by the rules that do not look at the clock."""
    if rule == BY_DUE:
        return due
    if rule == BY_WORK:
        return p[step + A_WORK]
    return -p[step + A_REMAINING] if rule == BY_REMAINING else -p[step + A_VALUE]


def next_ready(p: Packed, c: State, lot: int) -> int:
    """Return when the pieces of a lot's next operation are ready, or -1 when it has none."""
    row, journey = course_lot_at(p, lot), journey_steps_at(p, lot)
    op = c[row + I_NEXT]
    if op >= p[journey + W_END]:
        return -1
    return max(c[row + I_READY], p[sole_at(p, op) + T_NOT_BEFORE])


def soonest_start(p: Packed, c: State, op: int, ready: int) -> int:
    """Return when an operation could begin at the station that is free first for it, or -1."""
    soonest = -1
    step = step_at(p, op)
    for option in range(p[step + A_OPTIONS], p[step + A_OPTIONS_END], OPTION_COLUMNS):
        station = p[option + V_STATION]
        free = c[course_station_at(p, station) + H_FREE]
        start = starts_at(p, station_at(p, station), max(ready, free), p[option + V_WORK])
        if start >= 0 and (soonest < 0 or start < soonest):
            soonest = start
    return soonest


def next_by_rule(p: Packed, c: State, rule: int, factor: int) -> int:
    """Return the lot that goes next: of those whose next operation can begin soonest, the most urgent; or -1."""
    now = FOREVER
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        ready = next_ready(p, c, lot)
        if ready < 0:
            continue
        start = c[p[F_STARTS] + lot]
        if start < 0:
            start = soonest_start(p, c, c[row + I_NEXT], ready)
            c[p[F_STARTS] + lot] = start
        if 0 <= start < now:
            now = start
    chosen = -1
    least = FOREVER
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        ready = next_ready(p, c, lot)
        if ready >= 0 and c[p[F_STARTS] + lot] == now:
            op = c[row + I_NEXT]
            value = urgency(p, op, now, ready, rule, factor)
            if value < least:
                least = value
                chosen = lot
    return chosen


def by_rule(p: Packed, c: State, rule: int, factor: int) -> int:
    """Make the list and its plan by a rule; return its cost, or FOREVER when the calendars do not hold it."""
    begin_course(p, c)
    for lot in range(p[F_LOTS_COUNT]):
        c[p[F_STARTS] + lot] = -1
    for at in range(p[F_STEPS_COUNT]):
        lot = next_by_rule(p, c, rule, factor)
        if lot < 0:
            return FOREVER
        if append_next(p, c, lot) < 0:
            return FOREVER
        c[place_at(p, at) + D_LOT] = lot
        c[p[F_STARTS] + lot] = -1
        forget_starts(p, c, c[M_STATION])
    return decode_list(p, c)


def forget_starts(p: Packed, c: State, station: int) -> None:
    """Have the starts of what waits for a station reckoned anew."""
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        if c[p[F_STARTS] + lot] < 0:
            continue
        step = step_at(p, c[row + I_NEXT])
        for option in range(p[step + A_OPTIONS], p[step + A_OPTIONS_END], OPTION_COLUMNS):
            if p[option + V_STATION] == station:
                c[p[F_STARTS] + lot] = -1
