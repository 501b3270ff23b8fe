"""The queues of the pools: the ranks of what waits, the lowest last, each looked at from there."""

from app.core.planning.arrays import (
    F_BY_RANK,
    F_RANKS,
    O_POOL,
    P_QUEUE,
    Q_LEFT,
    Q_WAITING,
    S_POOLS,
    S_POOLS_END,
    Packed,
    State,
)
from app.core.planning.kernels.rows import bin_at, op_at, pool_at, station_at


def put_in_queue(p: Packed, s: State, op: int) -> None:
    """Put an operation into the queue of its pool."""
    pool = p[op_at(p, op) + O_POOL]
    waiting, rank = bin_at(p, pool) + Q_WAITING, s[p[F_RANKS] + op]
    first = p[pool_at(p, pool) + P_QUEUE]
    last = first + s[waiting]
    at = first_below(s, first, last, rank)
    for place in range(last, at, -1):
        s[place] = s[place - 1]
    s[at] = rank
    s[waiting] += 1


def first_below(s: State, low: int, high: int, rank: int) -> int:
    """Return the first place in ``[low, high)`` of a queue with less than a rank, else ``high``."""
    while low < high:
        middle = (low + high) >> 1
        if s[middle] < rank:
            high = middle
        else:
            low = middle + 1
    return low


def take_out_of_queue(p: Packed, s: State, op: int) -> None:
    """Take an operation out of the queue of its pool."""
    pool = p[op_at(p, op) + O_POOL]
    row = bin_at(p, pool)
    first, rank = p[pool_at(p, pool) + P_QUEUE], s[p[F_RANKS] + op]
    last = first + s[row + Q_WAITING] - 1
    at = last
    while s[at] != rank:
        at -= 1
    if at - first < s[row + Q_LEFT]:
        s[row + Q_LEFT] -= 1
    for place in range(at, last):
        s[place] = s[place + 1]
    s[row + Q_WAITING] -= 1


def look_again(p: Packed, s: State, station: int) -> None:
    """Have all that waits for a station looked at from the lowest rank on."""
    where = station_at(p, station)
    for at in range(p[where + S_POOLS], p[where + S_POOLS_END]):
        row = bin_at(p, p[at])
        s[row + Q_LEFT] = s[row + Q_WAITING]


def lowest_left(p: Packed, s: State, pool: int) -> int:
    """Return the lowest rank in a pool's queue that was not looked at yet; there must be one."""
    return s[p[pool_at(p, pool) + P_QUEUE] + s[bin_at(p, pool) + Q_LEFT] - 1]


def first_left(p: Packed, s: State, pool: int) -> int:
    """Return the operation of the lowest rank in a pool's queue that was not looked at yet; there must be one."""
    return s[p[F_BY_RANK] + lowest_left(p, s, pool)]
