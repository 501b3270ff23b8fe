"""Batches that several lots share: who else goes in, and whether to wait for one that is expected."""

from app.core.planning.arrays import (
    F_ASIDE,
    FOREVER,
    J_NEXT,
    J_OP,
    J_PIECES,
    J_READY,
    LOOK,
    N_ASIDE,
    O_CYCLE,
    O_LIMIT,
    O_MAX_PIECES,
    O_MAX_WEIGHT,
    O_PIECE_WEIGHT,
    O_POOL,
    O_TASK,
    O_WAIT,
    O_WAITED,
    P_BIN,
    P_QUEUE,
    P_RECIPE,
    Q_LAST,
    Q_OTHERS,
    Q_PENDING,
    S_POOLS,
    S_POOLS_END,
    WHAT,
    X_JOB,
    X_PIECES,
    Packed,
    State,
)

Load = tuple[int, int, int, int, int, int]
"""A batch: its time, pieces, weight, most pieces, most weight, and until when it may wait for more."""


def fits(p: Packed, op: int, pieces: int, bounds: Load) -> bool:
    """Tell whether pieces of an operation fit into a load; see ``with_more``."""
    cycle, load, weight, most, heaviest, _deadline = bounds
    return (
        p[op + O_CYCLE] == cycle
        and pieces <= p[op + O_LIMIT]
        and load + pieces <= min(most, p[op + O_MAX_PIECES])
        and weight + pieces * p[op + O_PIECE_WEIGHT] <= min(heaviest, p[op + O_MAX_WEIGHT])
    )


def with_more(p: Packed, s: State, op: int, pieces: int, bounds: Load) -> Load:
    """Return the time, pieces, weight, strictest bounds and deadline of a load with pieces of one more operation."""
    cycle, load, weight, most, heaviest, deadline = bounds
    return (
        cycle,
        load + pieces,
        weight + pieces * p[op + O_PIECE_WEIGHT],
        min(most, p[op + O_MAX_PIECES]),
        min(heaviest, p[op + O_MAX_WEIGHT]),
        min(deadline, waits_until(p, s, op)),
    )


def waits_until(p: Packed, s: State, op: int) -> int:
    """Return until when the pieces of an operation that wait may wait for others to share their batch."""
    ready = s[s[p[op + O_TASK] + X_JOB] + J_READY]
    return ready + p[op + O_WAIT] - (p[op + O_WAITED] if ready <= 0 else 0)


def gather(p: Packed, s: State, lead: int, station: int, bounds: Load) -> Load:
    """Put aside, by rank, what goes whole into a load with ``lead``; return the load with it.

    It goes on waiting until it is begun. No more than LOOK that do not fit are looked at.
    """
    recipe = p[p[lead + O_POOL] + P_RECIPE]
    for at in range(p[station + S_POOLS], p[station + S_POOLS_END]):
        pool = p[at]
        row = p[pool + P_BIN]
        s[row + Q_OTHERS] = s[row + Q_LAST] if p[pool + P_RECIPE] == recipe else p[pool + P_QUEUE] - 1
    s[N_ASIDE] = refused = 0
    op = lowest_other(p, s, station)
    while op >= 0 and refused < LOOK and bounds[1] < bounds[3] and bounds[2] < bounds[4]:
        s[p[p[op + O_POOL] + P_BIN] + Q_OTHERS] -= 1
        pieces = s[p[op + O_TASK] + X_PIECES]
        if op != lead and fits(p, op, pieces, bounds):
            bounds = with_more(p, s, op, pieces, bounds)
            s[p[F_ASIDE] + s[N_ASIDE]] = op
            s[N_ASIDE] += 1
        elif op != lead:
            refused += 1
        op = lowest_other(p, s, station)
    return bounds


def lowest_other(p: Packed, s: State, station: int) -> int:
    """Return the operation of a station with the lowest rank not looked at yet for a batch, or -1."""
    lowest = FOREVER
    for at in range(p[station + S_POOLS], p[station + S_POOLS_END]):
        lowest = min(lowest, s[s[p[p[at] + P_BIN] + Q_OTHERS]])
    return lowest & WHAT if lowest < FOREVER else -1


def wait_until(p: Packed, s: State, op: int, station: int, now: int, bounds: Load) -> int:
    """Return when the next job comes for which a load waits, or -1 when it waits for none."""
    deadline = bounds[5]
    if deadline <= now or bounds[1] >= bounds[3] or bounds[2] >= bounds[4]:
        return -1
    soonest = -1
    recipe = p[p[op + O_POOL] + P_RECIPE]
    for at in range(p[station + S_POOLS], p[station + S_POOLS_END]):
        pool = p[at]
        if p[pool + P_RECIPE] != recipe:
            continue
        job = s[p[pool + P_BIN] + Q_PENDING]
        while job >= 0:
            ready = s[job + J_READY]
            if (
                now < ready <= deadline
                and fits(p, s[job + J_OP], s[job + J_PIECES], bounds)
                and (soonest < 0 or ready < soonest)
            ):
                soonest = ready
            job = s[job + J_NEXT]
    return soonest
