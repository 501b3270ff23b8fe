"""The present: a state made empty, then what is counted, under way, outside and waiting."""

from app.core.planning.arrays import (
    B_GUESS,
    B_OP,
    B_PIECES,
    B_TIME,
    E_CALL,
    E_UNDER_WAY,
    F_LOADS_COUNT,
    F_LOTS_COUNT,
    F_MOST_RUNS,
    F_OPS,
    F_OPS_COUNT,
    F_RETURNS_COUNT,
    F_STATIONS,
    F_STATIONS_COUNT,
    FOREVER,
    J_AFTER,
    J_ARRIVED,
    J_BEFORE,
    J_NEXT,
    J_OP,
    J_PIECES,
    J_READY,
    L_LEFT,
    L_RELEASE,
    N_AWAKE,
    N_BASE,
    N_JOBS,
    N_LOADS,
    N_MIXED,
    N_PEOPLE,
    N_REOPENS,
    N_RUNS,
    N_TROUBLE,
    NUMBERS,
    O_BLOCKED,
    O_COMPONENTS,
    O_COUNTED,
    O_FAMILY,
    O_FIXTURE,
    O_KIND,
    O_LEFT,
    O_LOT,
    O_SEND,
    O_TASK,
    O_WAITING,
    OP_COLUMNS,
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
    S_ATTENDED,
    S_BENCH,
    S_FAMILY,
    S_FIXTURE,
    S_RUNNING,
    STATE_STATION_COLUMNS,
    STATION_COLUMNS,
    TOO_FEW_ROWS,
    U_ALONE,
    U_COUNTED,
    U_DONE_WORK,
    U_FIRST,
    U_OP,
    U_PIECES,
    U_SETUP_LEFT,
    U_STATION,
    U_WORK_LEFT,
    X_BOUGHT,
    X_COMPONENTS,
    X_DONE,
    X_LAST_END,
    X_LAST_RUN,
    X_LEFT,
    X_MISSING,
    X_PARKED,
    X_PASSED,
    X_PIECES,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FAMILY,
    Y_FIXTURE,
    Y_FREE,
    Y_MIX_OUT,
    Y_OPENING,
    Y_REOPENS,
    Y_SETUP_END,
    Z_FINISH,
    Z_LAST_RUN,
    Z_LEFT,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import set_clocks
from app.core.planning.kernels.flow import announce, arrive, leave, new_run, pass_on, set_transfer, tell_waiters
from app.core.planning.kernels.outside import outside_run
from app.core.planning.kernels.people import hold, share
from app.core.planning.kernels.queues import empty_queues
from app.core.planning.kernels.rows import (
    job_at,
    journey_at,
    load_at,
    lot_at,
    op_at,
    return_at,
    run_at,
    station_at,
)
from app.core.planning.kernels.starting import ends, send_on


def clear(p: Packed, s: State) -> None:
    """Make a state empty."""
    for at in range(NUMBERS):
        s[at] = 0
    s[N_PEOPLE] = s[N_REOPENS] = FOREVER
    s[N_MIXED] = -1
    s[N_AWAKE] = 0
    for op in range(p[F_OPS], op_at(p, p[F_OPS_COUNT]), OP_COLUMNS):
        x = p[op + O_TASK]
        s[x + X_LEFT], s[x + X_DONE], s[x + X_MISSING] = p[op + O_LEFT], p[op + O_COUNTED], p[op + O_COMPONENTS]
        s[x + X_LAST_END] = s[x + X_BOUGHT] = s[x + X_COMPONENTS] = s[x + X_PASSED] = s[x + X_PIECES] = 0
        s[x + X_LAST_RUN] = s[x + X_PARKED] = -1
    for station in range(p[F_STATIONS], station_at(p, p[F_STATIONS_COUNT]), STATION_COLUMNS):
        y = p[station + S_BENCH]
        for at in range(STATE_STATION_COLUMNS):
            s[y + at] = 0
        s[y + Y_FAMILY], s[y + Y_FIXTURE] = p[station + S_FAMILY], p[station + S_FIXTURE]
        s[y + Y_OPENING] = s[y + Y_MIX_OUT] = -1
        s[y + Y_REOPENS] = FOREVER
    for lot in range(p[F_LOTS_COUNT]):
        z = journey_at(p, lot)
        s[z + Z_FINISH], s[z + Z_LAST_RUN], s[z + Z_LEFT] = 0, -1, p[lot_at(p, lot) + L_LEFT]
    empty_queues(p, s)
    set_clocks(p, s)


def set_out(p: Packed, s: State) -> None:
    """Put the present into an empty state."""
    clear(p, s)
    for lot in range(p[F_LOTS_COUNT]):
        if s[journey_at(p, lot) + Z_LEFT] == 0:
            tell_waiters(p, s, lot)
    for op in range(p[F_OPS], op_at(p, p[F_OPS_COUNT]), OP_COLUMNS):
        counted = p[op + O_COUNTED]  # of purchases each delivery goes on by itself
        if counted > 0 and (p[op + O_LEFT] == 0 or p[op + O_SEND] > 0 or p[op + O_KIND] == PURCHASE):
            set_transfer(p, s, 0, 0, counted)
            s[p[op + O_TASK] + X_DONE] = 0
            leave(p, s, op, 1, -1)
    go_on(p, s)
    for at in range(p[F_RETURNS_COUNT]):
        come_back(p, s, at)
    for op in range(p[F_OPS], op_at(p, p[F_OPS_COUNT]), OP_COLUMNS):
        if p[op + O_WAITING] > 0 and p[op + O_BLOCKED] == 0:
            released = 0 if p[op + O_KIND] == PURCHASE else p[lot_at(p, p[op + O_LOT]) + L_RELEASE]
            set_transfer(p, s, 0, released, p[op + O_WAITING])
            arrive(p, s, op, 1, -1)


def come_back(p: Packed, s: State, at: int) -> None:
    """Plan the return of pieces that were sent out before."""
    row = return_at(p, at)
    place = s[N_JOBS]
    if place >= p[F_MOST_RUNS]:
        s[N_TROUBLE] |= TOO_FEW_ROWS
        return
    job = job_at(p, place)  # only for as long as this takes
    s[job + J_OP], s[job + J_PIECES], s[job + J_ARRIVED], s[job + J_READY] = p[row + B_OP], p[row + B_PIECES], 0, 0
    s[job + J_AFTER] = s[job + J_NEXT] = s[job + J_BEFORE] = -1
    outside_run(p, s, job, p[row + B_PIECES], p[row + B_TIME], p[row + B_GUESS])


def go_on(p: Packed, s: State) -> None:
    """Plan the loads under way of every station one after another, from now."""
    first = 0
    while first < p[F_LOADS_COUNT]:
        last = first + 1
        while last < p[F_LOADS_COUNT] and p[load_at(p, last) + U_FIRST] == p[load_at(p, first) + U_FIRST]:
            last += 1
        go_on_with(p, s, first, last)
        first = last


def go_on_with(p: Packed, s: State, first: int, last: int) -> None:
    """Plan one load, whose rows of ``under_way`` are ``[first, last)``; the longest of them counts."""
    slowest = first
    for at in range(first + 1, last):
        row, most = load_at(p, at), load_at(p, slowest)
        if p[row + U_SETUP_LEFT] + p[row + U_WORK_LEFT] > p[most + U_SETUP_LEFT] + p[most + U_WORK_LEFT]:
            slowest = at
    longest, lead = load_at(p, slowest), load_at(p, first)
    station = p[lead + U_STATION]
    y = p[station + S_BENCH]
    start = s[y + Y_FREE]
    base = ends(p, s, p[station + S_ATTENDED], start, p[longest + U_SETUP_LEFT])
    end = -1 if base < 0 else ends(p, s, p[station + S_RUNNING], base, p[longest + U_WORK_LEFT])
    if end < 0:
        return
    s[N_LOADS] += 1
    s[N_BASE], s[N_MIXED] = base, -1
    s[y + Y_FREE] = end
    s[y + Y_FAMILY], s[y + Y_FIXTURE] = p[p[lead + U_OP] + O_FAMILY], p[p[lead + U_OP] + O_FIXTURE]
    announce(p, s, start, E_UNDER_WAY, run_at(p, s[N_RUNS]))
    announce(p, s, end, E_CALL, station)
    for at in range(first, last):
        row = load_at(p, at)
        run = under_way_run(p, s, at, row)
        s[run + R_START], s[run + R_END], s[run + R_STATION] = start, end, station
        s[run + R_SETUP], s[run + R_WORK] = p[longest + U_SETUP_LEFT], p[longest + U_WORK_LEFT]
        if p[row + U_ALONE] == 1:
            send_on(p, s, run, p[row + U_COUNTED], p[row + U_DONE_WORK])
        elif p[p[row + U_OP] + O_SEND] > 0:
            set_transfer(p, s, 0, end, p[row + U_PIECES])
            pass_on(p, s, run, 1)
        else:
            pass_on(p, s, run, 0)


def under_way_run(p: Packed, s: State, at: int, row: int) -> int:
    """Return a new run of a row of ``under_way``, without its times."""
    run = new_run(p, s)
    s[run + R_OP], s[run + R_PIECES], s[run + R_LOAD] = p[row + U_OP], p[row + U_PIECES], s[N_LOADS]
    s[run + R_ARRIVED] = s[run + R_READY] = s[run + R_GUESS] = 0
    s[run + R_AFTER] = -1
    s[run + R_UNDER_WAY] = 1
    return run


def begin_load_under_way(p: Packed, s: State, run: int, now: int) -> None:
    """Have a load under way, whose first run is told, hold its people from now on."""
    station, setup, end = s[run + R_STATION], s[run + R_SETUP], s[run + R_END]
    y = p[station + S_BENCH]
    s[y + Y_BEFORE_TEND] = share(p, s[run + R_OP], station)
    s[y + Y_SETUP_END] = ends(p, s, p[station + S_ATTENDED], now, setup) if setup > 0 else 0
    s[y + Y_BEFORE_END] = end
    hold(p, s, station, now)
