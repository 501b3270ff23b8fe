"""The event loop: a station that is free and attended takes the waiting work with the lowest rank.

Where several such stations could begin it, the one that would end it first gets it; equals go by the order of stations.
"""

from app.core.planning.arrays import (
    BATCH,
    E_CALL,
    E_READY,
    E_UNDER_WAY,
    F_ASIDE,
    F_AWAKE,
    F_EVENTS,
    FOREVER,
    J_OP,
    J_PIECES,
    KIND_BITS,
    LATER,
    LOOK,
    LOW_BITS,
    N_ASIDE,
    N_AWAKE,
    N_HEAP,
    N_LOADS,
    N_PEOPLE,
    N_PIECES,
    N_SAME,
    N_SHORT,
    N_START,
    N_TROUBLE,
    NOT_NOW,
    O_CYCLE,
    O_KIND,
    O_MAX_PIECES,
    O_MAX_WEIGHT,
    O_PIECE_WEIGHT,
    O_POOL,
    O_TASK,
    O_WAIT,
    P_BIN,
    P_STATIONS,
    P_STATIONS_END,
    Q_LEFT,
    S_BENCH,
    TOO_FEW_ROWS,
    WHAT,
    X_JOB,
    X_PIECES,
    Y_AWAKE,
    Y_FAMILY,
    Y_FIXTURE,
    Y_LOOKED,
    Y_OPENING,
    Packed,
    State,
)
from app.core.planning.kernels.batches import gather, wait_until, waits_until
from app.core.planning.kernels.flow import announce, no_longer_pending
from app.core.planning.kernels.heap import pop
from app.core.planning.kernels.outside import go_outside
from app.core.planning.kernels.queues import look_again, next_waiting, put_in_queue, take_out_of_queue
from app.core.planning.kernels.setting_out import begin_load_under_way, set_out
from app.core.planning.kernels.starting import (
    hindrance,
    measure,
    note_times,
    occupy,
    run_of,
    send_on,
)
from app.core.planning.kernels.times import needed_setup
from app.core.planning.kernels.waking import fall_asleep, rouse, rouse_for_people


def play(p: Packed, s: State) -> None:
    """Plan the whole shop by dispatch; the plan is in the runs and lots of the state."""
    set_out(p, s)
    while goes_on(s):
        dispatch(p, s, next_moment(p, s))


def goes_on(s: State) -> bool:
    """Tell whether anything is still to happen, and there is room for it."""
    return (s[N_HEAP] > 0 or s[N_PEOPLE] < FOREVER) and s[N_TROUBLE] & TOO_FEW_ROWS == 0


def next_moment(p: Packed, s: State) -> int:
    """Deal with all that happens in the next second in which something does, and return it; people come last."""
    now = s[N_PEOPLE]
    if s[N_HEAP] > 0:
        now = min(now, s[p[F_EVENTS]] >> LOW_BITS)
    while s[N_HEAP] > 0 and s[p[F_EVENTS]] >> LOW_BITS == now:
        event = pop(s, p[F_EVENTS], s[N_HEAP])
        s[N_HEAP] -= 1
        deal_with(p, s, event)
    if s[N_PEOPLE] == now:
        s[N_PEOPLE] = FOREVER
        rouse_for_people(p, s, now)
    return now


def deal_with(p: Packed, s: State, event: int) -> None:
    """Deal with one event."""
    now, kind, what = event >> LOW_BITS, (event >> KIND_BITS) & 3, event & WHAT
    if kind == E_READY:
        receive(p, s, what, now)
    elif kind == E_UNDER_WAY:
        begin_load_under_way(p, s, what, now)
    else:
        y = p[what + S_BENCH]
        if s[y + Y_OPENING] == now:
            s[y + Y_OPENING] = -1
        rouse(p, s, what, now)


def receive(p: Packed, s: State, job: int, now: int) -> None:
    """Take up a job that is ready: it goes outside, or waits with what already waits of its operation."""
    no_longer_pending(p, s, job)
    op = s[job + J_OP]
    pool = p[op + O_POOL]
    if pool < 0:
        go_outside(p, s, job)
        return
    x = p[op + O_TASK]
    waiting = s[x + X_PIECES]
    s[x + X_PIECES] = waiting + s[job + J_PIECES]
    if waiting == 0:
        s[x + X_JOB] = job
        put_in_queue(p, s, op)
    for at in range(p[pool + P_STATIONS], p[pool + P_STATIONS_END]):
        rouse(p, s, p[at], now)


def dispatch(p: Packed, s: State, now: int) -> None:
    """Give work to the stations that are awake, the most urgent first; what cannot begin waits on.

    Batches that may wait for others are begun last: by then it is known what is expected.
    """
    if s[N_AWAKE] > 0 and give_work(p, s, now, True):
        give_work(p, s, now, False)
    for at in range(s[N_AWAKE]):
        fall_asleep(p, s, s[p[F_AWAKE] + at], now)
    s[N_AWAKE] = 0
    if s[N_SHORT] == 1:
        s[N_SHORT] = 0
        s[N_PEOPLE] = s[N_SAME]  # then others are there, or others busy


def give_work(p: Packed, s: State, now: int, early: bool) -> bool:
    """Begin what can begin; while it is ``early`` leave out batches that may wait, and tell whether there were any.

    What cannot begin is passed over for this second: people and stations only become fewer in it.
    """
    left_out = False
    for at in range(s[N_AWAKE]):
        look_again(p, s, s[p[F_AWAKE] + at])
    op = next_waiting(p, s)
    while op >= 0:
        pool = p[op + O_POOL]
        begun = False
        if early and p[op + O_WAIT] > 0:
            left_out = True
            keep_for_later(p, s, pool)
        else:
            station = best_station(p, s, op, now)
            begun = station >= 0 and begin(p, s, op, station, now)
        if not begun:
            s[p[pool + P_BIN] + Q_LEFT] -= 1
            pass_over(p, s, pool, now, early)
        op = next_waiting(p, s)
    for at in range(s[N_AWAKE]):
        bench = p[s[p[F_AWAKE] + at] + S_BENCH]
        if s[bench + Y_AWAKE] == LATER:
            s[bench + Y_AWAKE] = 1
    return left_out


def pass_over(p: Packed, s: State, pool: int, now: int, early: bool) -> None:
    """Pass over what no awake station of a pool may begin, up to the first that one may: most of what waits."""
    s[N_START] = now
    waiting, first, end = p[pool + P_BIN], p[pool + P_STATIONS], p[pool + P_STATIONS_END]
    while first < end and s[p[p[first] + S_BENCH] + Y_AWAKE] != 1:
        first += 1
    while first < end and s[p[p[end - 1] + S_BENCH] + Y_AWAKE] != 1:
        end -= 1
    awake = first < end
    while awake and s[s[waiting + Q_LEFT]] < FOREVER:
        op = s[s[waiting + Q_LEFT]] & WHAT
        if early and p[op + O_WAIT] > 0:
            return
        awake = False
        for at in range(first, end):
            station = p[at]
            y = p[station + S_BENCH]
            if s[y + Y_AWAKE] == 1:
                setup = needed_setup(p, s[y + Y_FAMILY], s[y + Y_FIXTURE], op)
                why = hindrance(p, s, op, station, y, setup)
                if why == 0:
                    return
                awake = looks_on(s, y, why) or awake
        s[waiting + Q_LEFT] -= 1


def keep_for_later(p: Packed, s: State, pool: int) -> None:
    """Have the stations of a pool that are awake do nothing else before the batches that may wait are looked at."""
    for at in range(p[pool + P_STATIONS], p[pool + P_STATIONS_END]):
        bench = p[p[at] + S_BENCH]
        if s[bench + Y_AWAKE] == 1:
            s[bench + Y_AWAKE] = LATER


def best_station(p: Packed, s: State, op: int, now: int) -> int:
    """Return the awake station that would end an operation first, measured last, or -1."""
    pool = p[op + O_POOL]
    best = -1
    soonest = FOREVER
    last = -1
    for at in range(p[pool + P_STATIONS], p[pool + P_STATIONS_END]):
        station = p[at]
        y = p[station + S_BENCH]
        if s[y + Y_AWAKE] != 1:
            continue
        end = measure(p, s, op, station, now)
        if end >= 0:
            last = station
            if end < soonest:
                best = station
                soonest = end
        else:
            looks_on(s, y, end)
    if best >= 0 and best != last:
        measure(p, s, op, best, now)
    return best


def looks_on(s: State, y: int, why: int) -> bool:
    """Count what a station could not begin at this hour, and tell whether it looks at more."""
    if why == NOT_NOW:
        s[y + Y_LOOKED] += 1
        if s[y + Y_LOOKED] >= LOOK:
            s[y + Y_AWAKE] = 0
    return s[y + Y_AWAKE] == 1


def begin(p: Packed, s: State, op: int, station: int, now: int) -> bool:
    """Begin an operation, or (False) have the station wait for more that goes into the same batch."""
    if p[op + O_KIND] == BATCH:
        return begin_batch(p, s, op, station, now)
    begin_alone(p, s, op, station)
    return True


def begin_alone(p: Packed, s: State, op: int, station: int) -> None:
    """Begin the run that was measured."""
    s[p[station + S_BENCH] + Y_AWAKE] = 0
    s[N_LOADS] += 1
    occupy(p, s, op, station)
    begin_share(p, s, op, station, s[N_PIECES])


def begin_batch(p: Packed, s: State, op: int, station: int, now: int) -> bool:
    """Begin a batch with all that goes into it, unless it waits for more."""
    pieces = s[N_PIECES]
    most, heaviest = p[op + O_MAX_PIECES], p[op + O_MAX_WEIGHT]
    alone = (p[op + O_CYCLE], pieces, pieces * p[op + O_PIECE_WEIGHT], most, heaviest, waits_until(p, s, op))
    load = gather(p, s, op, station, alone)
    until = wait_until(p, s, op, station, now, load)
    if until >= 0:
        s[p[station + S_BENCH] + Y_AWAKE] = 0
        announce(p, s, until, E_CALL, station)
        return False
    begin_alone(p, s, op, station)
    for at in range(s[N_ASIDE]):
        other = s[p[F_ASIDE] + at]
        begin_share(p, s, other, station, s[p[other + O_TASK] + X_PIECES])
    return True


def begin_share(p: Packed, s: State, op: int, station: int, pieces: int) -> None:
    """Put pieces of an operation into the run that the station has just begun."""
    run = run_of(p, s, op, station, pieces)
    note_times(p, s, run)
    if s[p[op + O_TASK] + X_PIECES] == 0:
        take_out_of_queue(p, s, op)
    send_on(p, s, run, 0, 0)
