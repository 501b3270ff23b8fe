"""How pieces move from operation to operation, and how work becomes known to the stations."""

from app.core.planning.arrays import (
    BATCH,
    E_CALL,
    E_READY,
    F_EVENTS,
    F_MOST_EVENTS,
    F_MOST_RUNS,
    F_MOST_TRANSFERS,
    F_TRANSFERS,
    J_AFTER,
    J_ARRIVED,
    J_BEFORE,
    J_NEXT,
    J_OP,
    J_PIECES,
    J_READY,
    KIND_BITS,
    L_WAITERS,
    L_WAITERS_END,
    LOW_BITS,
    N_HEAP,
    N_JOBS,
    N_RUNS,
    N_START,
    N_TROUBLE,
    O_BLOCKED,
    O_COMPONENTS,
    O_COUNTED,
    O_KIND,
    O_LEFT,
    O_LIMIT,
    O_LOST,
    O_LOT,
    O_NEXT,
    O_NOT_BEFORE,
    O_POOL,
    O_ROOM,
    O_TASK,
    P_BIN,
    P_STATIONS,
    P_STATIONS_END,
    Q_PENDING,
    R_END,
    R_OP,
    R_PIECES,
    S_BENCH,
    S_RUNNING,
    TOO_FEW_ROWS,
    X_COMPONENTS,
    X_DONE,
    X_LAST_END,
    X_LAST_RUN,
    X_LEFT,
    X_MISSING,
    X_PARKED,
    X_PASSED,
    Y_OPENING,
    Z_FINISH,
    Z_LAST_RUN,
    Z_LEFT,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import span_later
from app.core.planning.kernels.heap import push
from app.core.planning.kernels.rows import (
    job_at,
    journey_at,
    lot_at,
    run_at,
)
from app.core.planning.kernels.spans import finish_from, last_opened_from, last_opened_of, open_before
from app.core.planning.kernels.times import taken_up_ms


def announce(p: Packed, s: State, second: int, kind: int, what: int) -> None:
    """Put an event on the heap."""
    size = s[N_HEAP]
    if size >= p[F_MOST_EVENTS]:
        s[N_TROUBLE] |= TOO_FEW_ROWS
        return
    push(s, p[F_EVENTS], size, (second << LOW_BITS) | (kind << KIND_BITS) | what)
    s[N_HEAP] = size + 1


def call_at(p: Packed, s: State, station: int, opening: int, now: int) -> None:
    """Have a station look for work at an opening, unless it is called at one before that already."""
    y = p[station + S_BENCH]
    if s[y + Y_OPENING] < now or opening < s[y + Y_OPENING]:
        s[y + Y_OPENING] = opening
        announce(p, s, opening, E_CALL, station)


def new_run(p: Packed, s: State) -> int:
    """Return a new run; the last one again when there is no room left."""
    at = s[N_RUNS]
    if at + 1 >= p[F_MOST_RUNS]:
        s[N_TROUBLE] |= TOO_FEW_ROWS
    else:
        s[N_RUNS] = at + 1
    return run_at(p, at)


def pass_on(p: Packed, s: State, run: int, transfers: int) -> None:
    """Move the pieces of a run on: by the transfers that are noted, or (none) when the operation's last run ends."""
    op = s[run + R_OP]
    x = p[op + O_TASK]
    s[x + X_LEFT] -= s[run + R_PIECES]
    if transfers > 0:
        leave(p, s, op, transfers, run)
        return
    s[x + X_DONE] += s[run + R_PIECES]
    if s[run + R_END] > s[x + X_LAST_END]:
        s[x + X_LAST_END] = s[run + R_END]
        s[x + X_LAST_RUN] = run
    if s[x + X_LEFT] == 0:
        set_transfer(p, s, 0, s[x + X_LAST_END], s[x + X_DONE])
        s[x + X_DONE] = 0
        leave(p, s, op, 1, s[x + X_LAST_RUN])


def set_transfer(p: Packed, s: State, at: int, second: int, pieces: int) -> None:
    """Note a transfer."""
    if at < p[F_MOST_TRANSFERS]:
        s[p[F_TRANSFERS] + 2 * at] = second
        s[p[F_TRANSFERS] + 2 * at + 1] = pieces
    else:
        s[N_TROUBLE] |= TOO_FEW_ROWS


def leave(p: Packed, s: State, op: int, transfers: int, run: int) -> None:
    """Let pieces leave an operation for the next, or for good after the last."""
    transfers = min(transfers, p[F_MOST_TRANSFERS])
    if p[op + O_LOST] > 0:
        transfers = without_lost(p, s, op, transfers)
        if transfers == 0:
            return
    follower = p[op + O_NEXT]
    if follower >= 0:
        arrive(p, s, follower, transfers, run)
        return
    lot = p[op + O_LOT]
    z = journey_at(p, lot)
    for at in range(transfers):
        s[z + Z_LEFT] -= s[p[F_TRANSFERS] + 2 * at + 1]
    end = s[p[F_TRANSFERS] + 2 * (transfers - 1)]
    if end > s[z + Z_FINISH]:
        s[z + Z_FINISH] = end
        s[z + Z_LAST_RUN] = run
    if s[z + Z_LEFT] == 0:
        tell_waiters(p, s, lot)


def without_lost(p: Packed, s: State, op: int, transfers: int) -> int:
    """Take the pieces that are lost out of the transfers, as evenly as they go, and return how many are left."""
    x, whole = p[op + O_TASK], p[op + O_LEFT] + p[op + O_COUNTED]
    kept = 0
    for at in range(transfers):
        before = s[x + X_PASSED]
        after = before + s[p[F_TRANSFERS] + 2 * at + 1]
        s[x + X_PASSED] = after
        good = after - before - (after * p[op + O_LOST] // whole - before * p[op + O_LOST] // whole)
        if good > 0:
            set_transfer(p, s, kept, s[p[F_TRANSFERS] + 2 * at], good)
            kept += 1
    return kept


def tell_waiters(p: Packed, s: State, lot: int) -> None:
    """Tell the operations that wait for a lot when it is finished."""
    row = lot_at(p, lot)
    for at in range(p[row + L_WAITERS], p[row + L_WAITERS_END]):
        x = p[p[at] + O_TASK]
        s[x + X_MISSING] -= 1
        s[x + X_COMPONENTS] = max(s[x + X_COMPONENTS], s[journey_at(p, lot) + Z_FINISH])
        if s[x + X_MISSING] == 0:
            job = s[x + X_PARKED]
            while job >= 0:
                following = s[job + J_NEXT]
                expect(p, s, job)
                job = following
            s[x + X_PARKED] = -1


def arrive(p: Packed, s: State, op: int, transfers: int, run: int) -> None:
    """Let pieces reach an operation; a batch takes only what is there when it starts, others take all together."""
    if p[op + O_BLOCKED] == 1:
        return
    if p[op + O_KIND] == BATCH:
        pieces = 0
        for at in range(transfers):
            pieces += s[p[F_TRANSFERS] + 2 * at + 1]
            if pieces >= p[op + O_ROOM] or at == transfers - 1:
                add_job(p, s, op, pieces, s[p[F_TRANSFERS] + 2 * at], run)
                pieces = 0
        return
    pieces = 0
    for at in range(transfers):
        pieces += s[p[F_TRANSFERS] + 2 * at + 1]
    second = s[p[F_TRANSFERS] + 2 * (transfers - 1)]
    # Several runs of it would take the pieces up faster than one, so they wait for all.
    if transfers > 1 and p[op + O_POOL] >= 0 and p[op + O_LIMIT] >= p[op + O_LEFT]:
        second = runs_through_from(p, s, op, transfers)
    add_job(p, s, op, pieces, second, run)


def add_job(p: Packed, s: State, op: int, pieces: int, arrived: int, run: int) -> None:
    """Note pieces that can be worked on from ``arrived``, if nothing else is missing."""
    at = s[N_JOBS]
    if at >= p[F_MOST_RUNS]:
        s[N_TROUBLE] |= TOO_FEW_ROWS
        return
    s[N_JOBS] = at + 1
    job = job_at(p, at)
    s[job + J_OP] = op
    s[job + J_PIECES] = pieces
    s[job + J_ARRIVED] = arrived
    s[job + J_READY] = max(arrived, p[op + O_NOT_BEFORE])
    s[job + J_AFTER] = run
    x = p[op + O_TASK]
    if p[op + O_COMPONENTS] > 0 and s[x + X_MISSING] > 0:
        s[job + J_NEXT] = s[x + X_PARKED]
        s[x + X_PARKED] = job
    else:
        expect(p, s, job)


def expect(p: Packed, s: State, job: int) -> None:
    """Announce a job for when it is ready; until then the batches of its pool may wait for it."""
    op = s[job + J_OP]
    if p[op + O_COMPONENTS] > 0:
        s[job + J_READY] = max(s[job + J_READY], s[p[op + O_TASK] + X_COMPONENTS])
    s[job + J_NEXT] = -1
    s[job + J_BEFORE] = -1
    if p[op + O_KIND] == BATCH and p[op + O_POOL] >= 0:
        pending = p[p[op + O_POOL] + P_BIN] + Q_PENDING
        first = s[pending]
        s[job + J_NEXT] = first
        if first >= 0:
            s[first + J_BEFORE] = job
        s[pending] = job
    announce(p, s, s[job + J_READY], E_READY, job)


def no_longer_pending(p: Packed, s: State, job: int) -> None:
    """Take a job that is ready out of those that are expected."""
    op = s[job + J_OP]
    if p[op + O_KIND] != BATCH or p[op + O_POOL] < 0:
        return
    if s[job + J_BEFORE] >= 0:
        s[s[job + J_BEFORE] + J_NEXT] = s[job + J_NEXT]
    else:
        s[p[p[op + O_POOL] + P_BIN] + Q_PENDING] = s[job + J_NEXT]
    if s[job + J_NEXT] >= 0:
        s[s[job + J_NEXT] + J_BEFORE] = s[job + J_BEFORE]


def runs_through_from(p: Packed, s: State, op: int, transfers: int) -> int:
    """Return from when on a run of the transfers' pieces finds each piece there, whichever station takes it.

    Reckoned without set-up, which would only give the pieces more time. Where stations differ the latest counts.
    """
    pool = p[op + O_POOL]
    latest = 0
    for at in range(p[pool + P_STATIONS], p[pool + P_STATIONS_END]):
        latest = max(latest, never_dry_from(p, s, op, p[at], transfers))
    return latest


def never_dry_from(p: Packed, s: State, op: int, station: int, transfers: int) -> int:
    """Return the earliest start at which a station never waits for a transfer."""
    calendar, first = p[station + S_RUNNING], s[p[F_TRANSFERS]]
    begun = span_later(p, s, calendar, s[N_START], first)
    span = last_opened_of(p, calendar, begun, first)
    opened = open_before(p, calendar, span, first)
    short = before = 0
    for row in range(p[F_TRANSFERS], p[F_TRANSFERS] + 2 * transfers, 2):
        work = taken_up_ms(p, op, station, before) // 1000
        if s[row] - first - work > short:  # less of it is open: else there is nothing to look up
            span = last_opened_from(p, calendar, span, s[row])
            late = open_before(p, calendar, span, s[row]) - opened - work
            short = late if late > short else short
        before += s[row + 1]
    start = first if short == 0 else finish_from(p, calendar, begun, first, short)
    return s[p[F_TRANSFERS] + 2 * (transfers - 1)] if start < 0 else start
