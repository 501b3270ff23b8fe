"""Dispatch of a whole shop by a rule that may look at the clock: what waits is ranked anew before each look for work.

``p`` has what rules look at (``look_ahead``); ``r`` is the array of ``rank_arrays``. The ranks below its first stay.
"""

from app.core.planning.arrays import (
    F_AWAKE,
    F_BY_RANK,
    FOREVER,
    J_READY,
    LOW_BITS,
    N_AWAKE,
    O_TASK,
    P_BIN,
    P_QUEUE,
    Q_LAST,
    S_POOLS,
    S_POOLS_END,
    WHAT,
    X_JOB,
    X_RANK,
    Packed,
    State,
)
from app.core.planning.kernels.dispatch import dispatch, goes_on, next_moment
from app.core.planning.kernels.queues import put_in_queue
from app.core.planning.kernels.rows import op_number
from app.core.planning.kernels.rules import urgency
from app.core.planning.kernels.setting_out import set_out
from app.core.planning.rank_arrays import (
    RH_FIRST,
    RH_RULE,
    RH_TENTHS,
    RH_WAITING,
    RH_WAITING_COUNT,
    T_OP,
    T_RANK,
    T_URGENCY,
    WAITING_COLUMNS,
    Ranked,
)


def play_by_rule(p: Packed, s: State, r: Ranked) -> None:
    """Plan the whole shop by the rule; the ranks are other ones afterwards."""
    set_out(p, s)
    while goes_on(s):
        now = next_moment(p, s)
        rank_waiting(p, s, r, now)
        dispatch(p, s, now)


def rank_waiting(p: Packed, s: State, r: Ranked, now: int) -> None:
    """Share out the ranks of all that waits for the stations that are awake among it, by the rule."""
    r[RH_WAITING_COUNT] = 0
    for at in range(s[N_AWAKE]):
        station = s[p[F_AWAKE] + at]
        for place in range(p[station + S_POOLS], p[station + S_POOLS_END]):
            empty_queue(p, s, r, p[place], now)
    last = r[RH_WAITING] + (r[RH_WAITING_COUNT] - 1) * WAITING_COLUMNS
    for row in range(last, r[RH_WAITING] - 1, -WAITING_COLUMNS):
        op, rank = r[row + T_OP], r[row + T_RANK]
        s[p[op + O_TASK] + X_RANK] = rank
        s[p[F_BY_RANK] + rank] = op
        put_in_queue(p, s, op)


def empty_queue(p: Packed, s: State, r: Ranked, pool: int, now: int) -> None:
    """Move what waits in a queue to what is ranked anew; pinned work comes first, in the order that it has."""
    first, row = p[pool + P_QUEUE], p[pool + P_BIN]
    for place in range(s[row + Q_LAST], first - 1, -1):
        rank, op = s[place] >> LOW_BITS, s[place] & WHAT
        if rank < r[RH_FIRST]:
            value = rank - FOREVER
        else:
            ready = s[s[p[op + O_TASK] + X_JOB] + J_READY]
            value = urgency(p, op_number(p, op), now, ready, r[RH_RULE], r[RH_TENTHS])
        sort_in(r, op, value, rank)
    s[row + Q_LAST] = first - 1


def sort_in(r: Ranked, op: int, value: int, rank: int) -> None:
    """Put an operation among what waits by its urgency, and its rank among the ranks."""
    first = r[RH_WAITING]
    end = first + r[RH_WAITING_COUNT] * WAITING_COLUMNS
    row = end
    while row > first and r[row - WAITING_COLUMNS + T_URGENCY] > value:
        r[row + T_OP], r[row + T_URGENCY] = r[row - WAITING_COLUMNS + T_OP], r[row - WAITING_COLUMNS + T_URGENCY]
        row -= WAITING_COLUMNS
    r[row + T_OP], r[row + T_URGENCY] = op, value
    row = end
    while row > first and r[row - WAITING_COLUMNS + T_RANK] > rank:
        r[row + T_RANK] = r[row - WAITING_COLUMNS + T_RANK]
        row -= WAITING_COLUMNS
    r[row + T_RANK] = rank
    r[RH_WAITING_COUNT] += 1
