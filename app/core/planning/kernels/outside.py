"""Operations that need no station: work done elsewhere, and blanks on order."""

from app.core.planning.arrays import (
    B_GUESS,
    B_PIECES,
    B_TIME,
    F_NOW,
    F_OFFSETS,
    F_RECEIVING,
    F_SINCE,
    F_WORKING,
    F_WORKING_END,
    J_AFTER,
    J_ARRIVED,
    J_OP,
    J_PIECES,
    J_READY,
    N_LOADS,
    O_ARRIVALS,
    O_ARRIVALS_END,
    O_DAYS,
    O_KIND,
    O_SEND,
    O_TASK,
    O_WORKING,
    PURCHASE,
    R_AFTER,
    R_ARRIVED,
    R_END,
    R_GUESS,
    R_LOAD,
    R_OP,
    R_PIECES,
    R_READY,
    R_SETUP,
    R_START,
    R_STATION,
    R_UNDER_WAY,
    R_WORK,
    X_BOUGHT,
    Packed,
    State,
)
from app.core.planning.kernels.flow import new_run, pass_on, set_transfer
from app.core.planning.kernels.rows import arrival_at
from app.core.planning.kernels.spans import later_than, next_open

DAY = 86_400


def go_outside(p: Packed, s: State, job: int) -> None:
    """Plan a job that needs no station; it starts as soon as it is ready."""
    op = s[job + J_OP]
    if p[op + O_KIND] == PURCHASE:
        await_blanks(p, s, job)
        return
    ready = s[job + J_READY]
    landing = after_days(p, ready, p[op + O_DAYS], p[op + O_WORKING])
    back = next_open(p, p[F_RECEIVING], max(ready, landing)) if landing >= 0 else -1
    if back >= 0:
        outside_run(p, s, job, s[job + J_PIECES], back, 0)


def await_blanks(p: Packed, s: State, job: int) -> None:
    """Plan the deliveries that bring a job's blanks; each goes on by itself."""
    op = s[job + J_OP]
    x = p[op + O_TASK]
    skip = s[x + X_BOUGHT]
    pieces = s[job + J_PIECES]
    for at in range(p[op + O_ARRIVALS], p[op + O_ARRIVALS_END]):
        arrival = arrival_at(p, at)
        taken = min(max(0, p[arrival + B_PIECES] - skip), pieces)
        skip = max(0, skip - p[arrival + B_PIECES])
        if taken > 0:
            pieces -= taken
            s[x + X_BOUGHT] += taken
            outside_run(p, s, job, taken, max(s[job + J_READY], p[arrival + B_TIME]), p[arrival + B_GUESS])


def outside_run(p: Packed, s: State, job: int, pieces: int, end: int, guess: int) -> None:
    """Note a run that takes no station and move its pieces on."""
    run = new_run(p, s)
    s[N_LOADS] += 1
    s[run + R_OP] = s[job + J_OP]
    s[run + R_STATION] = -1
    s[run + R_START] = s[job + J_READY]
    s[run + R_END] = end
    s[run + R_SETUP] = 0
    s[run + R_WORK] = 0
    s[run + R_PIECES] = pieces
    s[run + R_ARRIVED] = s[job + J_ARRIVED]
    s[run + R_READY] = s[job + J_READY]
    s[run + R_LOAD] = s[N_LOADS]
    s[run + R_AFTER] = s[job + J_AFTER]
    s[run + R_GUESS] = guess
    s[run + R_UNDER_WAY] = 0
    op = s[job + J_OP]
    if p[op + O_KIND] == PURCHASE or p[op + O_SEND] > 0:
        set_transfer(p, s, 0, end, pieces)
        pass_on(p, s, run, 1)
    else:
        pass_on(p, s, run, 0)


def after_days(p: Packed, start: int, count: int, working: int) -> int:
    """Return the same wall-clock time ``count`` days later, or -1 beyond what is laid out."""
    offsets = p[F_OFFSETS]
    place = later_than(p, p[F_SINCE], offsets, start) - 1 - p[F_SINCE]
    local = start + p[F_NOW] + p[offsets + place]
    day = local // DAY
    time = local - day * DAY
    if working == 0:
        return at_wall_clock(p, (day + count) * DAY + time)
    if count == 0:
        return at_wall_clock(p, local)
    at = later_than(p, p[F_WORKING], p[F_WORKING_END], day) + count - 1
    return at_wall_clock(p, p[at] * DAY + time) if at < p[F_WORKING_END] else -1


def at_wall_clock(p: Packed, local: int) -> int:
    """Return the second of a wall-clock time: the first of two, and one that is skipped moves forward (PEP 495)."""
    since, offsets = p[F_SINCE], p[F_OFFSETS]
    wanted = local - p[F_NOW]
    last = offsets - since - 1
    for place in range(last + 1):
        second = wanted - p[offsets + place]
        if place == last or second < p[since + place + 1]:
            if place > 0 and second < p[since + place]:  # the clock skips it
                return wanted - p[offsets + place - 1]
            return second
    return -1
