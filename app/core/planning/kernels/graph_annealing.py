"""Simulated annealing on a job graph: moves that could help a late lot, each tried exactly, worse ones taken rarely.

What makes a lot late is the path of nodes that leads to its end, each beginning as soon as the one before it ends at
its station or in its lot. Only another order at a station on that path can help, so moves are drawn from there. A
trial reckons anew only what a move changes, and notes what was there before, to turn it back.
"""

from app.core.planning.arrays import COOLINGS, F_MAKESPAN, Packed
from app.core.planning.graph_arrays import (
    GH_BEST,
    GH_BOUND,
    GH_COST,
    GH_COUNT,
    GH_FIRST_MARK,
    GH_LAST_MARK,
    GH_LASTS,
    GH_LOTS,
    GH_MARKS,
    GH_MOVE_FROM,
    GH_MOVE_LATER,
    GH_MOVE_TO,
    GH_NODES,
    GH_NOTES,
    GH_NOTES_COUNT,
    GH_ORDER,
    GH_PATH,
    GH_TIMES,
    IN_CONTEXT,
    NODE_COLUMNS,
    NOTE_COLUMNS,
    T_AFTER,
    T_AT,
    T_BEFORE,
    T_DUE,
    T_END,
    T_HEAD,
    T_LOT_AFTER,
    T_LOT_BEFORE,
    T_READY,
    T_SPAN,
    T_WEIGHT,
    Y_END,
    Y_HEAD,
    Y_NODE,
    Y_READY,
    Y_SPAN,
    Graph,
)
from app.core.planning.kernels.graph import (
    draw_below,
    keep_order,
    link,
    may_go_later,
    may_go_sooner,
    nowhere,
    put_later,
    put_sooner,
    unlink,
)
from app.core.planning.kernels.hours import ready_at, set_all_times, set_times
from app.core.planning.kernels.stretches import (
    mark_at_station,
    no_marks,
    save_stretch,
    sort_order,
    turn_back_stretch,
)


def anneal_graph(p: Packed, g: Graph, moves: int, heat: int, cooling: list[int]) -> None:
    """Try so many moves; ``heat`` is the mean worsening that is taken, ``cooling`` thousandths of its logarithms."""
    sort_order(g)
    for _ in range(moves):
        if g[GH_BEST] <= g[GH_BOUND]:
            return
        limit = g[GH_COST] + heat * cooling[draw_below(g, COOLINGS)] // 1000
        if draw_move(g, draw_late(p, g)):
            try_move(p, g, limit)


def try_move(p: Packed, g: Graph, limit: int) -> None:
    """Make the move that was drawn, and turn it back where it costs more than ``limit``."""
    node, target = g[GH_MOVE_FROM], g[GH_MOVE_TO]
    before, after = g[node + T_BEFORE], g[node + T_AFTER]
    first, last = min(g[node + T_AT], g[target + T_AT]), max(g[node + T_AT], g[target + T_AT])
    save_stretch(g, first, last)
    if g[GH_MOVE_LATER] == 1:
        put_later(g, node, target)
    else:
        put_sooner(g, node, target)
    no_marks(g)
    mark_at_station(g, node, after)
    cost = changed_cost(p, g, limit)
    if cost > limit:
        unlink(g, node)
        link(g, before, node, after)
        turn_back_stretch(g, first, last)
        turn_back_times(g)
    else:
        take_cost(g, cost)


def take_cost(g: Graph, cost: int) -> None:
    """Take what a move costs, and keep the plan where it is the best so far."""
    g[GH_COST] = cost
    if cost < g[GH_BEST]:
        g[GH_BEST] = cost
        keep_order(g)


def changed_cost(p: Packed, g: Graph, limit: int) -> int:
    """Reckon anew the nodes that are marked and what follows from them; return what the plan costs then.

    It may give up once that is above ``limit``: when nothing that ends sooner can reach further, it only grows.
    """
    cost, note, none, marks = g[GH_COST], g[GH_NOTES], nowhere(g), g[GH_MARKS]
    place, reach, gains = g[GH_FIRST_MARK], g[GH_LAST_MARK], g[GH_LAST_MARK]
    while place <= reach and (cost <= limit or place <= gains):
        place += 1
        if g[marks + place - 1] == 0:
            continue
        g[marks + place - 1] = 0
        node = g[g[GH_ORDER] + place - 1]
        ready = ready_at(g, node)
        if ready == g[node + T_READY] and g[GH_TIMES] != IN_CONTEXT:
            continue
        end = g[node + T_END]
        g[note + Y_NODE], g[note + Y_READY], g[note + Y_SPAN] = node, g[node + T_READY], g[node + T_SPAN]
        g[note + Y_HEAD], g[note + Y_END] = g[node + T_HEAD], end
        note += NOTE_COLUMNS
        set_times(p, g, node, ready)
        if g[node + T_END] != end:
            far = mark_followers(g, node)
            reach = max(reach, far)
            if g[node + T_END] < end:
                gains = max(gains, far)
            if g[node + T_LOT_AFTER] == none and p[F_MAKESPAN] == 0:
                cost += g[node + T_WEIGHT] * (max(0, g[node + T_END] - g[node + T_DUE]) - max(0, end - g[node + T_DUE]))
    for left in range(marks + place, marks + reach + 1):
        g[left] = 0
    g[GH_NOTES_COUNT] = (note - g[GH_NOTES]) // NOTE_COLUMNS
    return cost if p[F_MAKESPAN] == 0 else cost_of_all(p, g)


def mark_followers(g: Graph, node: int) -> int:
    """Mark what follows a node in its lot and at its station; return the last place of the two, or -1 for none."""
    far = -1
    for follower in (g[node + T_LOT_AFTER], g[node + T_AFTER]):
        if follower != nowhere(g):
            g[g[GH_MARKS] + g[follower + T_AT]] = 1
            far = max(far, g[follower + T_AT])
    return far


def turn_back_times(g: Graph) -> None:
    """Turn back what a move has changed in the times."""
    for note in range(g[GH_NOTES], g[GH_NOTES] + g[GH_NOTES_COUNT] * NOTE_COLUMNS, NOTE_COLUMNS):
        node = g[note + Y_NODE]
        g[node + T_READY], g[node + T_HEAD] = g[note + Y_READY], g[note + Y_HEAD]
        g[node + T_END], g[node + T_SPAN] = g[note + Y_END], g[note + Y_SPAN]


def cost_of_all(p: Packed, g: Graph) -> int:
    """Return what the plan costs: the end of the last lot, or weight by time past due of all."""
    cost = 0
    for place in range(g[GH_LASTS], g[GH_LASTS] + g[GH_LOTS]):
        node = g[place]
        if p[F_MAKESPAN] == 1:
            cost = max(cost, g[node + T_END])
        else:
            cost += g[node + T_WEIGHT] * max(0, g[node + T_END] - g[node + T_DUE])
    return cost


def begin_annealing(p: Packed, g: Graph) -> None:
    """Reckon the times of the order that was taken, and keep it as the best."""
    set_all_times(p, g)
    g[GH_COST] = g[GH_BEST] = cost_of_all(p, g)
    keep_order(g)


def draw_late(p: Packed, g: Graph) -> int:
    """Return the last node of a lot that costs something: one of those past due, or the one that ends last."""
    at = draw_below(g, g[GH_LOTS])
    chosen = g[g[GH_LASTS] + at]
    for _ in range(g[GH_LOTS]):
        node = g[g[GH_LASTS] + at]
        at = at + 1 if at + 1 < g[GH_LOTS] else 0
        if p[F_MAKESPAN] == 1:
            chosen = node if g[node + T_END] > g[chosen + T_END] else chosen
        elif g[node + T_END] > g[node + T_DUE]:
            return node
    return chosen


def draw_move(g: Graph, late: int) -> bool:
    """Draw a move: three in four on the path that leads to the end of a lot, others anywhere; tell if there is one."""
    none = nowhere(g)
    node = g[GH_NODES] + draw_below(g, g[GH_COUNT]) * NODE_COLUMNS
    if draw_below(g, 4) > 0:
        length = late_path(g, late)
        if length == 0:
            return False
        node = g[g[GH_PATH] + draw_below(g, length)]
    if g[node + T_BEFORE] == none:
        return False
    return draw_later(g, g[node + T_BEFORE]) if draw_below(g, 2) == 0 else draw_sooner(g, node)


def late_path(g: Graph, node: int) -> int:
    """Note, on the path that leads to a node's end, those that begin when another ends at their station; count them."""
    none = nowhere(g)
    length = 0
    while node != none:
        at_station, in_lot = g[node + T_BEFORE], g[node + T_LOT_BEFORE]
        if at_station != none and g[at_station + T_END] == g[node + T_READY]:
            g[g[GH_PATH] + length] = node
            length += 1
            node = at_station
        else:
            node = in_lot if in_lot != none and g[in_lot + T_END] == g[node + T_READY] else none
    return length


def draw_later(g: Graph, node: int) -> bool:
    """Draw how far a node moves behind the one after it; tell whether it can."""
    target = g[node + T_AFTER]
    if not may_go_later(g, node, target):
        return False
    while draw_below(g, 2) == 0 and g[target + T_AFTER] != nowhere(g) and may_go_later(g, node, g[target + T_AFTER]):
        target = g[target + T_AFTER]
    g[GH_MOVE_FROM], g[GH_MOVE_TO], g[GH_MOVE_LATER] = node, target, 1
    return True


def draw_sooner(g: Graph, node: int) -> bool:
    """Draw how far a node moves before the one before it; tell whether it can."""
    target = g[node + T_BEFORE]
    if not may_go_sooner(g, node, target):
        return False
    while draw_below(g, 2) == 0 and g[target + T_BEFORE] != nowhere(g) and may_go_sooner(g, node, g[target + T_BEFORE]):
        target = g[target + T_BEFORE]
    g[GH_MOVE_FROM], g[GH_MOVE_TO], g[GH_MOVE_LATER] = node, target, 0
    return True
