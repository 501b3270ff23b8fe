"""Simulated annealing over a list: moves that could help a late lot, each tried by decoding, worse ones taken rarely.

What makes a lot late is the path of operations that leads to its end, each beginning as soon as the one before it ends
at its station or in its lot. Only another order at a station on that path can help, so moves are drawn from there.
"""

from app.core.planning.arrays import (
    A_LOT,
    A_NOT_BEFORE,
    D_BEST,
    D_LOT,
    D_PATH,
    F_CHOICE,
    F_LOTS_COUNT,
    F_MAKESPAN,
    F_STEPS_COUNT,
    G_BEFORE,
    G_END,
    G_PLACE,
    M_BEST,
    M_COST,
    M_PATH,
    M_SEED,
    M_TAKEN,
    W_END,
    W_FIRST,
    Packed,
    State,
)
from app.core.planning.kernels.appending import put_in_order, rotate, take_trial, try_from, with_lot
from app.core.planning.kernels.luck import drawn_below
from app.core.planning.kernels.rows import course_at, journey_steps_at, place_at, step_at


def draw(c: State, most: int) -> int:
    """Return the next number below ``most`` of a search."""
    return drawn_below(c, M_SEED, most)


def anneal(p: Packed, c: State, moves: int, heat: int, cooling: list[int]) -> None:
    """Try so many moves; ``heat`` is the mean worsening that is taken, ``cooling`` thousandths of its logarithms."""
    for _ in range(moves):
        if c[M_BEST] == 0:
            return
        lot = late_lot(p, c)
        if lot < 0 or trace(p, c, lot) == 0:
            return
        source, target = choose(p, c)
        first = min(source, target)
        rotate(p, c, source, target)
        limit = c[M_COST] + heat * cooling[draw(c, len(cooling))] // 1000
        cost = try_from(p, c, first, limit)
        if cost > limit:
            rotate(p, c, target, source)
            continue
        take_trial(p, c, first)
        c[M_COST] = cost
        c[M_TAKEN] += 1
        if p[F_CHOICE] == 0:
            put_in_order(p, c, first)
        if cost < c[M_BEST]:
            keep_best(p, c)


def keep_best(p: Packed, c: State) -> None:
    """Keep the list as the best so far."""
    c[M_BEST] = c[M_COST]
    for at in range(p[F_STEPS_COUNT]):
        place = place_at(p, at)
        c[place + D_BEST] = c[place + D_LOT]


def lot_end(p: Packed, c: State, lot: int) -> int:
    """Return when a lot is finished; 0 when it has nothing to do."""
    journey = journey_steps_at(p, lot)
    return c[course_at(p, p[journey + W_END] - 1) + G_END] if p[journey + W_END] > p[journey + W_FIRST] else 0


def late_lot(p: Packed, c: State) -> int:
    """Draw a lot that costs something, the more the likelier; for the makespan the one that ends last; or -1."""
    lots = p[F_LOTS_COUNT]
    if p[F_MAKESPAN] == 1:
        last = 0
        for lot in range(1, lots):
            if lot_end(p, c, lot) > lot_end(p, c, last):
                last = lot
        return last
    chosen = -1
    seen = 0
    for lot in range(lots):
        if with_lot(p, lot, lot_end(p, c, lot), 0) > 0:
            seen += 1
            if draw(c, seen) == 0:
                chosen = lot
    return chosen


def trace(p: Packed, c: State, lot: int) -> int:
    """Note on the path of a lot each operation that begins when another ends at its station; return how many."""
    op = p[journey_steps_at(p, lot) + W_END] - 1
    found = 0
    while op >= 0:
        row = course_at(p, op)
        before = c[row + G_BEFORE]
        journey = journey_steps_at(p, p[step_at(p, op) + A_LOT])
        earlier = op - 1 if op > p[journey + W_FIRST] else -1
        free = c[course_at(p, before) + G_END] if before >= 0 else -1
        ready = c[course_at(p, earlier) + G_END] if earlier >= 0 else -1
        ready = max(ready, p[step_at(p, op) + A_NOT_BEFORE])
        if before >= 0 and free >= ready:
            c[place_at(p, found) + D_PATH] = op
            found += 1
            op = before
        elif earlier >= 0 and c[course_at(p, earlier) + G_END] == ready:
            op = earlier
        else:
            op = -1
    c[M_PATH] = found
    return found


def choose(p: Packed, c: State) -> tuple[int, int]:
    """Return the places between which something moves: an operation of the path past others of its block, or any.

    One of the path that goes back stays behind the operation before it in its lot. Moves from anywhere to anywhere
    bring what no path shows: without them a search ends in a plan that only several moves at once would better.
    """
    if draw(c, 2) == 0:
        return draw(c, p[F_STEPS_COUNT]), draw(c, p[F_STEPS_COUNT])
    op = c[place_at(p, draw(c, c[M_PATH])) + D_PATH]
    before = c[course_at(p, op) + G_BEFORE]
    here = c[course_at(p, op) + G_PLACE]
    steps = draw(c, 8) - 3
    if steps > 0:  # back
        while steps > 0 and c[course_at(p, before) + G_BEFORE] >= 0:
            before = c[course_at(p, before) + G_BEFORE]
            steps -= 1
        target = c[course_at(p, before) + G_PLACE]
        if op > p[journey_steps_at(p, p[step_at(p, op) + A_LOT]) + W_FIRST]:
            target = max(target, c[course_at(p, op - 1) + G_PLACE] + 1)
        if target < here:
            return here, target
        before = c[course_at(p, op) + G_BEFORE]
    return c[course_at(p, before) + G_PLACE], here
