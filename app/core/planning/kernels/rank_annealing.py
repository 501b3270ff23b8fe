"""Annealing over ranks: each order of the operations is judged by dispatching the whole shop, worse ones taken rarely.

What makes a lot late is what it waits behind. So most moves put an operation that waited in a late lot before one that
its station began meanwhile; the others put any operation anywhere. ``r`` is the array of ``rank_arrays``.
"""

from app.core.planning.arrays import (
    COOLINGS,
    F_BY_RANK,
    F_LOTS_COUNT,
    F_MAKESPAN,
    F_OPS_COUNT,
    L_DUE,
    L_WEIGHT,
    N_RUNS,
    N_TROUBLE,
    O_LOT,
    O_TASK,
    R_OP,
    R_READY,
    R_SETUP,
    R_START,
    R_STATION,
    TOO_FEW_ROWS,
    X_RANK,
    Z_FINISH,
    Z_LEFT,
    Packed,
    State,
)
from app.core.planning.kernels.dispatch import play
from app.core.planning.kernels.luck import drawn_below
from app.core.planning.kernels.rows import journey_at, lot_at, op_number, run_at
from app.core.planning.rank_arrays import (
    AIMED,
    BEGUN_COLUMNS,
    RH_BEGUN,
    RH_BEGUN_COUNT,
    RH_COST,
    RH_ENDS,
    RH_FIRST,
    RH_FLOW,
    RH_FROM,
    RH_KEPT,
    RH_LATE,
    RH_SEED,
    RH_TO,
    RH_UNFINISHED,
    U_OP,
    U_READY,
    U_START,
    U_STATION,
    Ranked,
)

Worth = tuple[int, int, int, int]
"""What a plan is judged by, the least being the best: lots without an end, cost, late lots, set-up and flow time."""


def begin_ranks(p: Packed, s: State, r: Ranked) -> None:
    """Dispatch by the ranks that are set, and keep them as the best."""
    play(p, s)
    move_on(p, s, r)
    keep_ranks(p, s, r, worth_of(p, s))


def anneal_ranks(p: Packed, s: State, r: Ranked, moves: int, heat: int, cooling: list[int]) -> None:
    """Try so many moves; ``heat`` is the mean worsening that is taken, ``cooling`` thousandths of its logarithms."""
    play(p, s)
    now = worth_of(p, s)
    for _ in range(moves):
        draw_ranks(p, s, r)
        move_rank(p, s, r[RH_FROM], r[RH_TO])
        play(p, s)
        found = worth_of(p, s)
        if takes(s, found, now, heat * cooling[draw_rank(r, COOLINGS)] // 1000):
            now = found
            move_on(p, s, r)
            if found < (r[RH_UNFINISHED], r[RH_COST], r[RH_LATE], r[RH_FLOW]):
                keep_ranks(p, s, r, found)
        else:
            move_rank(p, s, r[RH_TO], r[RH_FROM])


def takes(s: State, found: Worth, now: Worth, limit: int) -> bool:
    """Tell whether a plan is taken after another: it may cost ``limit`` more, but leave no more lots without an end."""
    if s[N_TROUBLE] & TOO_FEW_ROWS != 0 or found[0] > now[0]:
        return False
    return found <= now or (found[1] != now[1] and found[1] - now[1] <= limit)


def worth_of(p: Packed, s: State) -> Worth:
    """Return what the plan is worth."""
    unfinished = cost = late = flow = 0
    for lot in range(p[F_LOTS_COUNT]):
        journey, row = journey_at(p, lot), lot_at(p, lot)
        if s[journey + Z_LEFT] != 0:
            unfinished += 1
            continue
        end = s[journey + Z_FINISH]
        tardy = max(0, end - p[row + L_DUE])
        cost = max(cost, end) if p[F_MAKESPAN] == 1 else cost + p[row + L_WEIGHT] * tardy
        late += 1 if tardy > 0 else 0
        flow += end
    for at in range(s[N_RUNS]):
        flow += s[run_at(p, at) + R_SETUP]
    return unfinished, cost, late, flow


def move_rank(p: Packed, s: State, source: int, target: int) -> None:
    """Give what has one rank another; what is between moves up by one."""
    by_rank = p[F_BY_RANK]
    op = s[by_rank + source]
    step = 1 if target > source else -1
    for rank in range(source, target, step):
        other = s[by_rank + rank + step]
        s[by_rank + rank] = other
        s[p[other + O_TASK] + X_RANK] = rank
    s[by_rank + target] = op
    s[p[op + O_TASK] + X_RANK] = target


def keep_ranks(p: Packed, s: State, r: Ranked, worth: Worth) -> None:
    """Keep the order as the best, with what it is worth."""
    r[RH_UNFINISHED], r[RH_COST], r[RH_LATE], r[RH_FLOW] = worth
    for rank in range(p[F_OPS_COUNT]):
        r[r[RH_KEPT] + rank] = op_number(p, s[p[F_BY_RANK] + rank])


def move_on(p: Packed, s: State, r: Ranked) -> None:
    """Note the ends and the runs of the plan that is moved from now on."""
    for lot in range(p[F_LOTS_COUNT]):
        r[r[RH_ENDS] + lot] = s[journey_at(p, lot) + Z_FINISH]
    r[RH_BEGUN_COUNT] = s[N_RUNS]
    for at in range(s[N_RUNS]):
        run, row = run_at(p, at), r[RH_BEGUN] + at * BEGUN_COLUMNS
        r[row + U_OP], r[row + U_STATION] = s[run + R_OP], s[run + R_STATION]
        r[row + U_START], r[row + U_READY] = s[run + R_START], s[run + R_READY]


def draw_rank(r: Ranked, most: int) -> int:
    """Return the next number below ``most`` of a search."""
    return drawn_below(r, RH_SEED, most)


def draw_ranks(p: Packed, s: State, r: Ranked) -> None:
    """Draw a move."""
    if draw_rank(r, 16) < AIMED and aim(p, s, r):
        return
    first, free = r[RH_FIRST], p[F_OPS_COUNT] - r[RH_FIRST]
    r[RH_FROM] = first + draw_rank(r, free)
    r[RH_TO] = first + (r[RH_FROM] - first + 1 + draw_rank(r, free - 1)) % free


def aim(p: Packed, s: State, r: Ranked) -> bool:
    """Draw a late lot, one of its waits, and one of those begun meanwhile; tell whether there is such a move."""
    lot = draw_late_lot(p, r)
    waits = 0
    waiting = -1
    for row in range(r[RH_BEGUN], r[RH_BEGUN] + r[RH_BEGUN_COUNT] * BEGUN_COLUMNS, BEGUN_COLUMNS):
        if p[r[row + U_OP] + O_LOT] == lot and r[row + U_STATION] >= 0 and r[row + U_START] > r[row + U_READY]:
            waits += 1
            if draw_rank(r, waits) == 0:
                waiting = row
    if waiting < 0:
        return False
    ahead = draw_ahead(r, waiting)
    if ahead < 0:
        return False
    r[RH_FROM] = s[p[r[waiting + U_OP] + O_TASK] + X_RANK]
    r[RH_TO] = s[p[r[ahead + U_OP] + O_TASK] + X_RANK]
    return r[RH_FROM] != r[RH_TO] and min(r[RH_FROM], r[RH_TO]) >= r[RH_FIRST]


def draw_late_lot(p: Packed, r: Ranked) -> int:
    """Return one of the lots that end past due, or any where none does."""
    lots = p[F_LOTS_COUNT]
    lot = draw_rank(r, lots)
    for _ in range(lots):
        if r[r[RH_ENDS] + lot] > p[lot_at(p, lot) + L_DUE]:
            return lot
        lot = lot + 1 if lot + 1 < lots else 0
    return lot


def draw_ahead(r: Ranked, waiting: int) -> int:
    """Return a run that its station began while the one in row ``waiting`` was ready, or -1."""
    found = 0
    ahead = -1
    for row in range(r[RH_BEGUN], r[RH_BEGUN] + r[RH_BEGUN_COUNT] * BEGUN_COLUMNS, BEGUN_COLUMNS):
        if (
            r[row + U_STATION] == r[waiting + U_STATION]
            and r[waiting + U_READY] <= r[row + U_START] < r[waiting + U_START]
        ):
            found += 1
            if draw_rank(r, found) == 0:
                ahead = row
    return ahead
