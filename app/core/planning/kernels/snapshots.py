"""Snapshots of a list that is being decoded, one before each stretch of it: a trial begins at the last one it can.

There are two of each, what is kept and that of the trial; a trial that is taken swaps them.
"""

from app.core.planning.arrays import (
    F_COURSE_STATIONS,
    F_COURSE_STEPS,
    F_LOTS_COUNT,
    F_SLOTS,
    F_SNAPSHOTS,
    F_STEPS_COUNT,
    Packed,
    State,
)
from app.core.planning.kernels.rows import course_lot_at, journey_steps_at, step_at
from app.core.planning.list_arrays import (
    A_REMAINING,
    B_COST,
    B_STATE,
    I_NEXT,
    I_READY,
    M_COST,
    SLOT_COLUMNS,
    STRETCH,
    W_DUE,
    W_END,
    W_WEIGHT,
    X_KEPT,
    X_TRIED,
)


def slot_at(p: Packed, place: int) -> int:
    """Return the row of the snapshots before the stretch in which a place is."""
    return p[F_SLOTS] + place // STRETCH * SLOT_COLUMNS


def begin_snapshots(p: Packed, c: State) -> None:
    """Give each snapshot its room."""
    width = B_STATE + p[F_COURSE_STEPS] - p[F_COURSE_STATIONS]
    for slot in range(p[F_SLOTS], p[F_SNAPSHOTS]):
        c[slot] = p[F_SNAPSHOTS] + (slot - p[F_SLOTS]) * width


def take_snapshot(p: Packed, c: State, place: int, cost: int) -> None:
    """Keep how stations and lots stand before a place."""
    note(p, c, c[slot_at(p, place) + X_KEPT], cost)


def try_snapshot(p: Packed, c: State, place: int, cost: int) -> None:
    """Note how stations and lots stand before a place of the trial."""
    note(p, c, c[slot_at(p, place) + X_TRIED], cost)


def note(p: Packed, c: State, room: int, cost: int) -> None:
    """Note how stations and lots stand."""
    c[room + B_COST] = cost
    offset = room + B_STATE - p[F_COURSE_STATIONS]
    for at in range(p[F_COURSE_STATIONS], p[F_COURSE_STEPS]):
        c[offset + at] = c[at]


def outlook_above_kept(p: Packed, c: State, place: int) -> int:
    """Return by how much the outlook of the trial before a stretch behind its move is worse than that of what is kept.

    The outlook is the weighted tardiness if no lot waited from there on and no station closed; every lot has come as
    far in both.
    """
    offset = c[slot_at(p, place) + X_KEPT] + B_STATE - p[F_COURSE_STATIONS]
    more = 0
    for lot in range(p[F_LOTS_COUNT]):
        row = course_lot_at(p, lot)
        if c[row + I_READY] != c[offset + row + I_READY]:
            remaining = remaining_of(p, c, lot)
            more += tardiness(p, lot, c[row + I_READY] + remaining)
            more -= tardiness(p, lot, c[offset + row + I_READY] + remaining)
    return more


def remaining_of(p: Packed, c: State, lot: int) -> int:
    """Return the work that a lot has still to come, in seconds."""
    following = c[course_lot_at(p, lot) + I_NEXT]
    if following == p[journey_steps_at(p, lot) + W_END]:
        return 0
    return p[step_at(p, following) + A_REMAINING]


def tardiness(p: Packed, lot: int, end: int) -> int:
    """Return what it costs that a lot is finished at ``end``: its weight for each second past due."""
    journey = journey_steps_at(p, lot)
    return p[journey + W_WEIGHT] * max(0, end - p[journey + W_DUE])


def go_back(p: Packed, c: State, place: int) -> int:
    """Have stations and lots stand as they did before the stretch in which a place is; return the cost so far."""
    room = c[slot_at(p, place) + X_KEPT]
    offset = room + B_STATE - p[F_COURSE_STATIONS]
    for at in range(p[F_COURSE_STATIONS], p[F_COURSE_STEPS]):
        c[at] = c[offset + at]
    return c[room + B_COST]


def stands_as_kept(p: Packed, c: State, place: int) -> bool:
    """Tell whether stations and lots stand before a stretch as they do in what is kept."""
    offset = c[slot_at(p, place) + X_KEPT] + B_STATE - p[F_COURSE_STATIONS]
    at = p[F_COURSE_STATIONS]
    while at < p[F_COURSE_STEPS] and c[at] == c[offset + at]:
        at += 1
    return at == p[F_COURSE_STEPS]


def keep_trial(p: Packed, c: State, first: int, until: int, cost: int) -> None:
    """Keep the snapshots of a trial that differs behind place ``first`` and up to ``until``, and costs ``cost``."""
    more = cost - c[M_COST]
    for slot in range(slot_at(p, first) + SLOT_COLUMNS, slot_at(p, p[F_STEPS_COUNT] - 1) + 1, SLOT_COLUMNS):
        if slot < slot_at(p, until):
            c[slot + X_KEPT], c[slot + X_TRIED] = c[slot + X_TRIED], c[slot + X_KEPT]
        else:
            c[c[slot + X_KEPT] + B_COST] += more
