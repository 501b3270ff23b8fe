"""One replication's shop: times, pieces, what is under way and what comes from outside, drawn into a copy of its array.

``base`` is the shop as planned, ``p`` the copy, ``d`` what is uncertain; the rows of both shops stand at equal places.
"""

from app.core.chances.arrays import (
    A_DAYS,
    A_DAYS_SIZE,
    A_KEY,
    A_OVERDUE,
    A_TIME,
    D_ARRIVALS,
    D_ARRIVALS_COUNT,
    D_LOADS,
    D_OPS,
    D_RETURNS,
    D_TOGETHER,
    D_TOGETHER_SIZE,
    K_CYCLE,
    K_DAYS,
    K_LOST,
    K_PAST,
    K_SETUP,
    K_UNDER_WAY,
    LOAD_DRAWS,
    OP_DRAWS,
    OUTSIDE_DRAWS,
    TOGETHER_KEY,
    V_DONE,
    V_WORK,
    W_CYCLE,
    W_CYCLE_KEY,
    W_DAYS,
    W_DAYS_SIZE,
    W_KEY,
    W_SCRAP,
    W_SETUP,
)
from app.core.chances.kernels.generator import ONE, binomial, bits, drawn, pick, pick_above, scaled, stream_of
from app.core.planning.arrays import (
    B_OP,
    B_TIME,
    F_LOADS_COUNT,
    F_OPS_COUNT,
    F_RECEIVING,
    F_RETURNS_COUNT,
    L_LEFT,
    O_BLOCKED,
    O_COUNTED,
    O_CYCLE,
    O_DAYS,
    O_FACTOR,
    O_FIXTURE_SETUP,
    O_KIND,
    O_LEFT,
    O_LOAD,
    O_LOST,
    O_LOT,
    O_NEXT,
    O_SETUP,
    O_SETUP_FACTOR,
    O_UNLOAD,
    PALLET,
    U_OP,
    U_SETUP,
    U_SETUP_LEFT,
    U_WORK_LEFT,
    Column,
    Packed,
)
from app.core.planning.kernels.outside import DAY
from app.core.planning.kernels.rows import arrival_at, load_at, lot_at, op_at, op_number, return_at
from app.core.planning.kernels.spans import next_open


def draw_work(base: Packed, p: Packed, d: Column, stream: int) -> None:
    """Draw the times and the lost pieces of every operation, and what is left of those under way."""
    together = ONE
    if d[D_TOGETHER_SIZE] > 0:
        together = pick(d, d[D_TOGETHER], d[D_TOGETHER_SIZE], bits(stream_of(stream, TOGETHER_KEY), 0))
    short = 0
    for op in range(p[F_OPS_COUNT]):
        row = op_at(p, op)
        draw_times(base, p, d, op, stream, together)
        short = draw_lost(base, p, d, op, stream, short)
        if p[row + O_NEXT] < 0:
            lot = lot_at(p, p[row + O_LOT])
            p[lot + L_LEFT] = base[lot + L_LEFT] - short
            short = 0
    for at in range(p[F_LOADS_COUNT]):
        draw_under_way(base, p, d, at, stream, together)


def factor_of(d: Column, table: int, chance: int, together: int) -> int:
    """Return a factor from the table that an operation names at a place, with what all times have in common."""
    size = d[table + 1]
    return together if size == 0 else (pick(d, d[table], size, chance) * together) >> 16


def draw_times(base: Packed, p: Packed, d: Column, op: int, stream: int, together: int) -> None:
    """Draw how long an operation takes."""
    row, odds = op_at(p, op), d[D_OPS] + op * OP_DRAWS
    own = stream_of(stream, d[odds + W_KEY])
    setup = factor_of(d, odds + W_SETUP, bits(own, K_SETUP), together)
    p[row + O_SETUP_FACTOR] = max(1, setup)
    p[row + O_SETUP] = scaled(base[row + O_SETUP], setup)
    p[row + O_FIXTURE_SETUP] = scaled(base[row + O_FIXTURE_SETUP], setup)
    with_others = own if d[odds + W_CYCLE_KEY] == d[odds + W_KEY] else stream_of(stream, d[odds + W_CYCLE_KEY])
    set_cycle(base, p, row, factor_of(d, odds + W_CYCLE, bits(with_others, K_CYCLE), together))
    if d[odds + W_DAYS_SIZE] > 0:
        late = pick(d, d[odds + W_DAYS], d[odds + W_DAYS_SIZE], bits(own, K_DAYS))
        p[row + O_DAYS] = max(0, base[row + O_DAYS] + late)


def set_cycle(base: Packed, p: Packed, row: int, factor: int) -> None:
    """Have the work of an operation take so many times as long."""
    p[row + O_FACTOR] = max(1, factor)
    p[row + O_CYCLE] = max(1, scaled(base[row + O_CYCLE], factor))
    if base[row + O_KIND] == PALLET:
        p[row + O_LOAD] = scaled(base[row + O_LOAD], factor)
        p[row + O_UNLOAD] = scaled(base[row + O_UNLOAD], factor)


def draw_lost(base: Packed, p: Packed, d: Column, op: int, stream: int, short: int) -> int:
    """Draw the pieces lost at an operation and return how many fewer come to the next; one always goes on."""
    row, odds = op_at(p, op), d[D_OPS] + op * OP_DRAWS
    if base[row + O_BLOCKED] == 1:
        return 0
    todo = base[row + O_LEFT] - short
    lost = 0
    if d[odds + W_SCRAP] > 0 and todo > 0:
        most = todo + base[row + O_COUNTED] - 1
        luck = drawn(stream_of(stream, d[odds + W_KEY]), K_LOST)
        lost = min(most, binomial(todo, d[odds + W_SCRAP], luck))
    p[row + O_LEFT] = todo
    p[row + O_LOST] = lost
    return short + lost


def draw_under_way(base: Packed, p: Packed, d: Column, at: int, stream: int, together: int) -> None:
    """Draw what is left of a load under way: what it takes in all is more than has been spent."""
    load, known = load_at(p, at), d[D_LOADS] + at * LOAD_DRAWS
    row = p[load + U_OP]
    odds = d[D_OPS] + op_number(p, row) * OP_DRAWS
    chance = bits(stream_of(stream, d[odds + W_KEY]), K_UNDER_WAY)
    setup_left = base[load + U_SETUP_LEFT]
    if setup_left > 0:
        setup = base[load + U_SETUP]
        p[load + U_SETUP_LEFT] = left_of(d, odds + W_SETUP, setup, setup - setup_left, chance, together)
        p[load + U_WORK_LEFT] = scaled_up(d[known + V_WORK], p[row + O_CYCLE], base[row + O_CYCLE])
        return
    p[load + U_WORK_LEFT] = left_of(d, odds + W_CYCLE, d[known + V_WORK], d[known + V_DONE], chance, together)


def scaled_up(value: int, new: int, old: int) -> int:
    """Return a value in the relation of two others."""
    return value if old <= 0 else value * new // old


def left_of(d: Column, table: int, planned: int, spent: int, chance: int, together: int) -> int:
    """Return the seconds left of work of which some are spent; work that outlasts all it could take has little left."""
    first, size = d[table], d[table + 1]
    if planned <= 0:
        return 0
    if spent <= 0:
        return scaled(planned, factor_of(d, table, chance, together))
    usual = scaled(planned, together)
    least = spent * ONE // max(1, usual)
    if size == 0:
        return max(usual - spent, 0)
    factor = pick_above(d, first, size, chance, least)
    if factor < 0:
        return scaled(planned, pick(d, first, size, chance)) // 10
    return max(0, scaled(usual, factor) - spent)


def draw_outside(base: Packed, p: Packed, d: Column, stream: int) -> None:
    """Draw when pieces that are outside come back, and when deliveries come."""
    for at in range(p[F_RETURNS_COUNT]):
        odds = d[D_RETURNS] + at * OUTSIDE_DRAWS
        if d[odds + A_DAYS_SIZE] > 0:
            landing = max(0, comes_at(d, odds, stream))
            back = next_open(p, p[F_RECEIVING], landing)
            p[return_at(p, at) + B_TIME] = landing if back < 0 else back
    latest = 0
    for at in range(d[D_ARRIVALS_COUNT]):
        odds, row = d[D_ARRIVALS] + at * OUTSIDE_DRAWS, arrival_at(p, at)
        if at == 0 or p[row + B_OP] != p[arrival_at(p, at - 1) + B_OP]:
            latest = 0
        if d[odds + A_DAYS_SIZE] > 0:
            latest = max(latest, comes_at(d, odds, stream))
            p[row + B_TIME] = latest


def comes_at(d: Column, odds: int, stream: int) -> int:
    """Return when something comes; what is overdue is as late as those that were later still, else later by a draw."""
    first, size = d[odds + A_DAYS], d[odds + A_DAYS_SIZE]
    own = stream_of(stream, d[odds + A_KEY])
    chance = bits(own, K_DAYS)
    overdue = d[odds + A_OVERDUE]
    if overdue < 0:
        return d[odds + A_TIME] + DAY * pick(d, first, size, chance)
    late = pick_above(d, first, size, chance, overdue)
    if late < 0:
        late = overdue + 1 + max(0, pick(d, first, size, bits(own, K_PAST)))
    return d[odds + A_TIME] + DAY * late
