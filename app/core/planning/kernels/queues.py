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
    first, rank = p[pool_at(p, pool) + P_QUEUE], s[p[F_RANKS] + op]
    at = first + s[bin_at(p, pool) + Q_WAITING]
    while at > first and s[at - 1] < rank:
        s[at] = s[at - 1]
        at -= 1
    s[at] = rank
    s[bin_at(p, pool) + Q_WAITING] += 1


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
