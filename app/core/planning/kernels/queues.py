"""The queues of the pools: what waits, the lowest rank last, each looked at from there.

An entry is a rank with its operation behind it, so that entries compare as their ranks do. Before the first of each
queue FOREVER stands, above every rank.
"""

from app.core.planning.arrays import (
    F_AWAKE,
    F_POOLS,
    F_POOLS_COUNT,
    FOREVER,
    LOW_BITS,
    N_AWAKE,
    O_POOL,
    O_TASK,
    P_BIN,
    P_QUEUE,
    POOL_COLUMNS,
    Q_LAST,
    Q_LEFT,
    Q_PENDING,
    S_BENCH,
    S_POOLS,
    S_POOLS_END,
    WHAT,
    X_RANK,
    Y_AWAKE,
    Packed,
    State,
)
from app.core.planning.kernels.rows import pool_at


def empty_queues(p: Packed, s: State) -> None:
    """Make all queues empty."""
    for pool in range(p[F_POOLS], pool_at(p, p[F_POOLS_COUNT]), POOL_COLUMNS):
        row, before = p[pool + P_BIN], p[pool + P_QUEUE] - 1
        s[before] = FOREVER
        s[row + Q_LAST] = s[row + Q_LEFT] = before
        s[row + Q_PENDING] = -1


def put_in_queue(p: Packed, s: State, op: int) -> None:
    """Put an operation into the queue of its pool."""
    pool = p[op + O_POOL]
    row, entry = p[pool + P_BIN], entry_of(p, s, op)
    end = s[row + Q_LAST] + 1
    at = first_below(s, p[pool + P_QUEUE], end, entry)
    for place in range(end, at, -1):
        s[place] = s[place - 1]
    s[at] = entry
    s[row + Q_LAST] = end


def entry_of(p: Packed, s: State, op: int) -> int:
    """Return an operation as it stands in a queue."""
    return (s[p[op + O_TASK] + X_RANK] << LOW_BITS) | op


def first_below(s: State, low: int, high: int, entry: int) -> int:
    """Return the first place in ``[low, high)`` of a queue with less than an entry, else ``high``."""
    while low < high:
        middle = (low + high) >> 1
        if s[middle] < entry:
            high = middle
        else:
            low = middle + 1
    return low


def take_out_of_queue(p: Packed, s: State, op: int) -> None:
    """Take an operation out of the queue of its pool."""
    row, entry = p[p[op + O_POOL] + P_BIN], entry_of(p, s, op)
    at = last = s[row + Q_LAST]
    while s[at] != entry:
        at -= 1
    if at <= s[row + Q_LEFT]:
        s[row + Q_LEFT] -= 1
    for place in range(at, last):
        s[place] = s[place + 1]
    s[row + Q_LAST] = last - 1


def look_again(p: Packed, s: State, station: int) -> None:
    """Have all that waits for a station looked at from the lowest rank on."""
    for at in range(p[station + S_POOLS], p[station + S_POOLS_END]):
        row = p[p[at] + P_BIN]
        s[row + Q_LEFT] = s[row + Q_LAST]


def next_waiting(p: Packed, s: State) -> int:
    """Return the operation with the lowest rank that an awake station has not looked at yet, or -1."""
    lowest = FOREVER
    for at in range(p[F_AWAKE], p[F_AWAKE] + s[N_AWAKE]):
        station = s[at]
        if s[p[station + S_BENCH] + Y_AWAKE] == 1:
            for place in range(p[station + S_POOLS], p[station + S_POOLS_END]):
                entry = s[s[p[p[place] + P_BIN] + Q_LEFT]]
                lowest = entry if entry < lowest else lowest
    return lowest & WHAT if lowest < FOREVER else -1
