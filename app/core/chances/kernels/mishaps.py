"""Breakdowns, which are cut out of a station's calendars, and new orders, which come or do not."""

from app.core.chances.arrays import (
    B_ATTENDED,
    B_KEY,
    B_MEAN,
    B_REPAIRS,
    B_REPAIRS_SIZE,
    B_RUNNING,
    B_STATION,
    B_UNTIL,
    D_DOWN,
    D_EXPONENTIAL,
    D_EXPONENTIAL_SIZE,
    D_NEW,
    D_NEW_COUNT,
    D_NEW_GAP,
    D_NEW_UNTIL,
    D_STATIONS,
    D_STATIONS_COUNT,
    MOST_BREAKDOWNS,
    NEW_KEY,
    STATION_DRAWS,
)
from app.core.chances.kernels.generator import bits, pick, scaled, stream_of
from app.core.planning.arrays import (
    F_OPS_COUNT,
    K_END,
    K_FIRST,
    L_FIRST,
    L_LEFT,
    L_RELEASE,
    O_LEFT,
    O_LOST,
    O_LOT,
    O_NOT_BEFORE,
    O_WAITING,
    OP_COLUMNS,
    S_ATTENDED,
    S_RUNNING,
    SP_BEFORE,
    SP_CLOSES,
    SP_OPENS,
    SPAN_COLUMNS,
    Column,
    Packed,
)
from app.core.planning.kernels.rows import calendar_at, lot_at, op_at, station_at
from app.core.planning.kernels.spans import finish


def draw_mishaps(base: Packed, p: Packed, d: Column, stream: int) -> None:
    """Draw the breakdowns of every station that may break down, and the new orders."""
    for at in range(d[D_STATIONS_COUNT]):
        odds = d[D_STATIONS] + at * STATION_DRAWS
        downs = draw_breakdowns(base, d, odds, stream_of(stream, d[odds + B_KEY]))
        where = station_at(p, d[odds + B_STATION])
        cut_out(base, p, d, calendar_at(p, d[odds + B_ATTENDED]), p[where + S_ATTENDED], downs)
        if p[where + S_RUNNING] != p[where + S_ATTENDED]:
            cut_out(base, p, d, calendar_at(p, d[odds + B_RUNNING]), p[where + S_RUNNING], downs)
    if d[D_NEW_COUNT] > 0:
        draw_new_orders(base, p, d, stream_of(stream, NEW_KEY))


def waiting_time(d: Column, stream: int, number: int, mean: int) -> int:
    """Return an exponential time."""
    return scaled(mean, pick(d, d[D_EXPONENTIAL], d[D_EXPONENTIAL_SIZE], bits(stream, number)))


def draw_breakdowns(base: Packed, d: Column, odds: int, stream: int) -> int:
    """Note when a station is down and return how many times: after some attended time, for as long as repair takes."""
    second = 0
    count = 0
    while count < MOST_BREAKDOWNS:
        gap = waiting_time(d, stream, 2 * count, d[odds + B_MEAN])
        down = finish(base, calendar_at(base, d[odds + B_ATTENDED]), second, max(1, gap))
        if down < 0 or down >= d[odds + B_UNTIL]:
            break
        second = down + pick(d, d[odds + B_REPAIRS], d[odds + B_REPAIRS_SIZE], bits(stream, 2 * count + 1))
        d[d[D_DOWN] + 2 * count] = down
        d[d[D_DOWN] + 2 * count + 1] = second
        count += 1
    return count


def cut_out(base: Packed, p: Packed, d: Column, source: int, own: int, downs: int) -> None:
    """Write a calendar less the breakdowns over the station's own."""
    place = p[own + K_FIRST]
    before = 0
    down = 0
    for span in range(base[source + K_FIRST], base[source + K_END], SPAN_COLUMNS):
        start, end = base[span + SP_OPENS], base[span + SP_CLOSES]
        while start < end:
            while down < downs and d[d[D_DOWN] + 2 * down + 1] <= start:
                down += 1
            until = end if down == downs else min(end, d[d[D_DOWN] + 2 * down])
            if until > start:
                p[place + SP_OPENS], p[place + SP_CLOSES], p[place + SP_BEFORE] = start, until, before
                before += until - start
                place += SPAN_COLUMNS
            start = end if until == end else d[d[D_DOWN] + 2 * down + 1]
    p[own + K_END] = place


def draw_new_orders(base: Packed, p: Packed, d: Column, stream: int) -> None:
    """Let new orders come one after another after exponential times, and leave out those that come too late."""
    second = 0
    for number in range(d[D_NEW_COUNT]):
        lot = d[d[D_NEW] + number]
        second += waiting_time(d, stream, number, d[D_NEW_GAP])
        if second < d[D_NEW_UNTIL]:
            let_come(base, p, lot, second)
        else:
            leave_out(p, lot)


def let_come(base: Packed, p: Packed, lot: int, second: int) -> None:
    """Release a lot at a second; its pieces and times are drawn already."""
    row = lot_at(p, lot)
    p[row + L_RELEASE] = second
    op = p[row + L_FIRST]
    p[op + O_NOT_BEFORE] = second
    p[op + O_WAITING] = base[op + O_WAITING]


def leave_out(p: Packed, lot: int) -> None:
    """Take all pieces of a lot away."""
    row = lot_at(p, lot)
    p[row + L_LEFT] = 0
    op = p[row + L_FIRST]
    while op < op_at(p, p[F_OPS_COUNT]) and p[op + O_LOT] == lot:
        p[op + O_LEFT] = p[op + O_WAITING] = p[op + O_LOST] = 0
        op += OP_COLUMNS
