"""Simulated annealing over a list: moves from anywhere to anywhere, each tried by decoding, worse ones taken rarely.

A list is not sorted by the starts of its plan: what stands early in it, though it starts late, keeps its turn when
other moves make room. For large shops that finds better plans than the same moves in a sorted list, and than moves at
stations.
"""

from typing import Final

from app.core.planning.arrays import (
    COOLINGS,
    F_COURSE_LOTS,
    F_COURSE_STATIONS,
    F_JOURNEY_STEPS,
    F_MAKESPAN,
    F_SOLES,
    F_STEPS_COUNT,
    F_TRIALS,
    FOREVER,
    Packed,
    State,
)
from app.core.planning.kernels.appending import append, append_plain, with_lot
from app.core.planning.kernels.list_moves import rotate, shift_later, shift_sooner
from app.core.planning.kernels.luck import drawn_below
from app.core.planning.kernels.rows import course_lot_at, place_at, sole_at, trial_at
from app.core.planning.kernels.snapshots import (
    go_back,
    keep_trial,
    outlook_above_kept,
    slot_at,
    stands_as_kept,
    try_snapshot,
)
from app.core.planning.list_arrays import (
    B_COST,
    COURSE_LOT_COLUMNS,
    COURSE_STATION_COLUMNS,
    D_BEST,
    D_LOT,
    D_STEP,
    I_NEXT,
    I_READY,
    JOURNEY_STEP_COLUMNS,
    M_BEST,
    M_COST,
    M_FIRST,
    M_LAST,
    M_SEED,
    M_UNTIL,
    SOLE_COLUMNS,
    STRETCH,
    T_STATION,
    W_END,
    X_KEPT,
)

SHIFTS: Final = 3
"""So many of sixteen moves take along what follows in the lot,"""
FARTHEST: Final = 4
"""by at most this part of the list."""
HOPELESS: Final = 4
"""A trial is given up whose outlook is worse by so many times the heat, besides what it may be worse: few of those that
would be taken are, and a third of the decoding is spared."""


def draw(c: State, most: int) -> int:
    """Return the next number below ``most`` of a search."""
    return drawn_below(c, M_SEED, most)


def anneal(p: Packed, c: State, moves: int, heat: int, cooling: list[int]) -> None:
    """Try so many moves; ``heat`` is the mean worsening that is taken, ``cooling`` thousandths of its logarithms."""
    for _ in range(moves):
        if c[M_BEST] == 0:
            return
        if not draw_trial(p, c):
            continue
        worse = heat * cooling[draw(c, COOLINGS)] // 1000
        limit = c[M_COST] + worse
        cost = decode_trial(p, c, limit, FOREVER if p[F_MAKESPAN] == 1 else worse + HOPELESS * heat)
        if cost > limit:
            drop_trial(p, c)
        else:
            take_trial(p, c, cost)
            if cost < c[M_BEST]:
                keep_best(p, c)


def draw_trial(p: Packed, c: State) -> bool:
    """Draw a move and make it in the trial; tell whether it is one that may change the plan.

    What passes only what has nothing to do with it stays where it is: to let it drift there costs time, and the lists
    that come of it are worse to search.
    """
    steps = p[F_STEPS_COUNT]
    source = draw(c, steps)
    if draw(c, 16) >= SHIFTS:
        target = draw_target(c, source, steps)
        if passes_only_others(p, c, source, target):
            return False
        rotate(p, c, source, target)
    elif draw(c, 2) == 0:
        shift_later(p, c, source, 1 + draw(c, 1 + steps // FARTHEST))
    else:
        shift_sooner(p, c, source, 1 + draw(c, 1 + steps // FARTHEST))
    return True


def passes_only_others(p: Packed, c: State, source: int, target: int) -> bool:
    """Tell whether an operation on its way to a place passes none that could share its station.

    Where it comes to another one of its lot, it takes that one's place, and that one goes on.
    """
    lot, station = c[place_at(p, source) + D_LOT], station_of(p, c, source)
    if station < 0:
        return source == target
    towards = 1 if target > source else -1
    at = source
    while at != target:
        at += towards
        there = station_of(p, c, at)
        if there < 0:
            return False
        if c[place_at(p, at) + D_LOT] == lot:
            station = there
        elif there == station:
            return False
    return True


def station_of(p: Packed, c: State, place: int) -> int:
    """Return the only station of the operation at a place of the list, or -1 where there are several."""
    return p[sole_at(p, c[place_at(p, place) + D_STEP]) + T_STATION]


def draw_target(c: State, source: int, steps: int) -> int:
    """Draw where an operation goes: one place away as often as two or three, four to seven, and so on.

    Most moves that gain are short, and a short one is soon decoded.
    """
    doublings = 1
    while 2 << doublings <= steps:
        doublings += 1
    least = 1 << draw(c, doublings)
    target = source + (least + draw(c, least)) * (1 - 2 * draw(c, 2))
    return min(max(target, 0), steps - 1)


def decode_trial(p: Packed, c: State, limit: int, worst: int) -> int:
    """Decode the trial and return its cost.

    It may give up once that is above ``limit``, and does once its outlook is worse than that of the list by more than
    ``worst``.
    """
    first = c[M_FIRST] & ~(STRETCH - 1)
    cost = go_back(p, c, first)
    c[M_UNTIL] = p[F_STEPS_COUNT] + STRETCH
    # What the loop needs of the heads, read once: it is where a search spends its time.
    trials, lots, soles = p[F_TRIALS], p[F_COURSE_LOTS], p[F_SOLES]
    benches, journeys = p[F_COURSE_STATIONS], p[F_JOURNEY_STEPS]
    for at in range(first, p[F_STEPS_COUNT]):
        if at & (STRETCH - 1) == 0 and at > first:
            known = known_before(p, c, at, cost, worst)
            if known >= 0:
                return known
        lot = c[trials + at]
        row = lots + lot * COURSE_LOT_COLUMNS
        op, ready = c[row + I_NEXT], c[row + I_READY]
        sole = soles + op * SOLE_COLUMNS
        if p[sole + T_STATION] >= 0:
            bench = benches + p[sole + T_STATION] * COURSE_STATION_COLUMNS
            end = append_plain(p, c, bench, sole, op, ready)
        else:
            end = append(p, c, op, ready)
        if end < 0:
            return FOREVER
        c[row + I_NEXT], c[row + I_READY] = op + 1, end
        if op + 1 == p[journeys + lot * JOURNEY_STEP_COLUMNS + W_END]:
            cost = with_lot(p, lot, end, cost)
            if cost > limit:
                return cost
    return cost


def known_before(p: Packed, c: State, place: int, cost: int, worst: int) -> int:
    """Return what the trial costs where that is known before a stretch already, FOREVER if it is hopeless, or -1.

    Neither is known before what the move has displaced is in its new place.
    """
    if place > c[M_LAST] and p[F_MAKESPAN] == 0 and stands_as_kept(p, c, place):
        c[M_UNTIL] = place
        return c[M_COST] + cost - c[c[slot_at(p, place) + X_KEPT] + B_COST]
    try_snapshot(p, c, place, cost)
    return FOREVER if place > c[M_LAST] and outlook_above_kept(p, c, place) > worst else -1


def take_trial(p: Packed, c: State, cost: int) -> None:
    """Make the trial, which costs ``cost``, the list."""
    keep_trial(p, c, c[M_FIRST], c[M_UNTIL], cost)
    c[M_COST] = cost
    # The operations of a lot stay in their order: the first of it between these places is so afterwards too.
    for at in range(c[M_LAST], c[M_FIRST] - 1, -1):
        c[course_lot_at(p, c[place_at(p, at) + D_LOT]) + I_NEXT] = c[place_at(p, at) + D_STEP]
    for at in range(c[M_FIRST], c[M_LAST] + 1):
        lot = c[trial_at(p, at)]
        following = course_lot_at(p, lot) + I_NEXT
        c[place_at(p, at) + D_LOT], c[place_at(p, at) + D_STEP] = lot, c[following]
        c[following] += 1


def drop_trial(p: Packed, c: State) -> None:
    """Make the trial the list again."""
    for at in range(c[M_FIRST], c[M_LAST] + 1):
        c[trial_at(p, at)] = c[place_at(p, at) + D_LOT]


def keep_best(p: Packed, c: State) -> None:
    """Keep the list as the best so far."""
    c[M_BEST] = c[M_COST]
    for at in range(p[F_STEPS_COUNT]):
        c[place_at(p, at) + D_BEST] = c[place_at(p, at) + D_LOT]
