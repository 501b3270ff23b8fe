"""Tabu search on a job graph for the earliest end of the last lot: moves on its critical blocks, reckoned before tried.

A critical path is a longest way through the graph; a block, a stretch of it at one station. Only a move that brings a
node of a block to its front or its end can shorten it (J. Grabowski), or one that puts the front or the end among the
others (N6 of E. Balas and A. Vazacopoulos, Management Science 44 (1998) 262-275, and N7 of C. Zhang and others,
Computers & Operations Research 34 (2007) 3229-3242; both from memory). What a move would cost is reckoned from the ways
of the nodes between its two places alone, as E. Taillard (ORSA Journal on Computing 6 (1994) 108-117) began it.
"""

from app.core.planning.graph_arrays import (
    GH_ANY_FROM,
    GH_ANY_LATER,
    GH_ANY_TIES,
    GH_ANY_TO,
    GH_BEST,
    GH_BOUND,
    GH_COST,
    GH_LASTS,
    GH_LOTS,
    GH_MOVE_COST,
    GH_MOVE_FROM,
    GH_MOVE_LATER,
    GH_MOVE_TIES,
    GH_MOVE_TO,
    GH_NODES,
    GH_PATH,
    GH_ROUND,
    GH_TENURE,
    GH_WIDTH,
    NO_MOVE,
    NODE_COLUMNS,
    T_AFTER,
    T_AT,
    T_BEFORE,
    T_END,
    T_FORBIDDEN,
    T_FROM,
    T_HEAD,
    T_LOT_AFTER,
    T_LOT_BEFORE,
    T_NUMBER,
    T_RELEASE,
    T_STATION,
    T_TIME,
    T_TRIAL,
    Graph,
)
from app.core.planning.kernels.graph import (
    draw_below,
    keep_order,
    may_go_later,
    may_go_sooner,
    nowhere,
    put_later,
    put_sooner,
    reckon_cost,
    reckon_heads,
    reckon_tails,
)


def search_tabu(g: Graph, moves: int) -> int:
    """Make so many moves, fewer only where the plan is the best there can be; return how many were made."""
    for made in range(moves):
        if g[GH_BEST] <= g[GH_BOUND] or not choose_move(g):
            return made
        make_move(g)
        if g[GH_COST] < g[GH_BEST]:
            g[GH_BEST] = g[GH_COST]
            keep_order(g)
    return moves


def begin_search(g: Graph) -> None:
    """Forget what is forbidden, and keep the plan as the best."""
    for node in range(g[GH_NODES], nowhere(g), NODE_COLUMNS):
        for other in range(g[GH_WIDTH]):
            g[g[node + T_FORBIDDEN] + other] = 0
    g[GH_BEST] = g[GH_COST]
    keep_order(g)


def choose_move(g: Graph) -> bool:
    """Choose the best move that is not forbidden, or any when all are; tell whether there is one."""
    g[GH_MOVE_COST] = NO_MOVE
    g[GH_MOVE_TIES] = g[GH_ANY_TIES] = 0
    length = critical_path(g)
    last = 0
    while last < length:
        first = last
        station = g[g[g[GH_PATH] + last] + T_STATION]
        while first + 1 < length and g[g[g[GH_PATH] + first + 1] + T_STATION] == station:
            first += 1
        if first > last:
            weigh_block(g, g[g[GH_PATH] + first], g[g[GH_PATH] + last], last == 0, first == length - 1)
        last = first + 1
    if g[GH_MOVE_TIES] == 0 and g[GH_ANY_TIES] > 0:
        g[GH_MOVE_FROM], g[GH_MOVE_TO], g[GH_MOVE_LATER] = g[GH_ANY_FROM], g[GH_ANY_TO], g[GH_ANY_LATER]
    return g[GH_MOVE_TIES] + g[GH_ANY_TIES] > 0


def critical_path(g: Graph) -> int:
    """Note the nodes of a longest way, drawn where there are several, from its end back; return how many."""
    node = last_node(g)
    none = nowhere(g)
    length = 0
    while node != none:
        g[g[GH_PATH] + length] = node
        length += 1
        head = g[node + T_HEAD]
        in_lot, at_station = g[node + T_LOT_BEFORE], g[node + T_BEFORE]
        by_lot = in_lot != none and g[in_lot + T_END] == head
        by_station = at_station != none and g[at_station + T_END] == head
        if by_lot and by_station:
            node = in_lot if draw_below(g, 2) == 0 else at_station
        else:
            node = in_lot if by_lot else at_station if by_station else none
    return length


def last_node(g: Graph) -> int:
    """Draw one of the nodes that end last."""
    chosen = nowhere(g)
    ties = 0
    for place in range(g[GH_LASTS], g[GH_LASTS] + g[GH_LOTS]):
        if g[g[place] + T_END] == g[GH_COST]:
            ties += 1
            if ties == 1 or draw_below(g, ties) == 0:
                chosen = g[place]
    return chosen


def weigh_block(g: Graph, first: int, last: int, ends: bool, begins: bool) -> None:
    """Weigh the moves of a block; the one that begins or ends the path has nothing to gain at that side."""
    if not ends:
        node = first
        while node != last:
            weigh_later(g, node, last)
            node = g[node + T_AFTER]
        node = g[first + T_AFTER]
        while node != last:
            weigh_sooner(g, last, node)
            node = g[node + T_AFTER]
    if not begins:
        node = g[first + T_AFTER]
        while node != last:
            weigh_later(g, first, node)
            weigh_sooner(g, node, first)
            node = g[node + T_AFTER]
        if ends or g[first + T_AFTER] != last:
            weigh_sooner(g, last, first)


def weigh_later(g: Graph, node: int, target: int) -> None:
    """Weigh moving a node right behind a later one."""
    if not may_go_later(g, node, target):
        return
    cost = cost_later(g, node, target)
    if cost > g[GH_MOVE_COST]:
        return
    forbidden = False
    each = node
    while each != target:
        each = g[each + T_AFTER]
        forbidden = forbidden or g[g[each + T_FORBIDDEN] + g[node + T_NUMBER]] > g[GH_ROUND]
    note_move(g, node, target, 1, cost, forbidden)


def weigh_sooner(g: Graph, node: int, target: int) -> None:
    """Weigh moving a node right before a sooner one."""
    if not may_go_sooner(g, node, target):
        return
    cost = cost_sooner(g, node, target)
    if cost > g[GH_MOVE_COST]:
        return
    forbidden = False
    each = target
    while each != node:
        forbidden = forbidden or g[g[node + T_FORBIDDEN] + g[each + T_NUMBER]] > g[GH_ROUND]
        each = g[each + T_AFTER]
    note_move(g, node, target, 0, cost, forbidden)


def cost_later(g: Graph, node: int, target: int) -> int:
    """Return the longest way through the nodes of a move that puts a node right behind a later one."""
    end = g[g[node + T_BEFORE] + T_END]
    each = node
    while each != target:
        each = g[each + T_AFTER]
        head = max(end, g[g[each + T_LOT_BEFORE] + T_END], g[each + T_RELEASE])
        g[each + T_TRIAL] = head
        end = head + g[each + T_TIME]
    way = max(g[g[node + T_LOT_AFTER] + T_FROM], g[g[target + T_AFTER] + T_FROM]) + g[node + T_TIME]
    longest = max(end, g[g[node + T_LOT_BEFORE] + T_END], g[node + T_RELEASE]) + way
    while each != node:
        way = max(way, g[g[each + T_LOT_AFTER] + T_FROM]) + g[each + T_TIME]
        longest = max(longest, g[each + T_TRIAL] + way)
        each = g[each + T_BEFORE]
    return longest


def cost_sooner(g: Graph, node: int, target: int) -> int:
    """Return the longest way through the nodes of a move that puts a node right before a sooner one."""
    way = g[g[node + T_AFTER] + T_FROM]
    each = node
    while each != target:
        each = g[each + T_BEFORE]
        way = max(way, g[g[each + T_LOT_AFTER] + T_FROM]) + g[each + T_TIME]
        g[each + T_TRIAL] = way
    head = max(g[g[node + T_LOT_BEFORE] + T_END], g[g[target + T_BEFORE] + T_END], g[node + T_RELEASE])
    end = head + g[node + T_TIME]
    longest = end + max(way, g[g[node + T_LOT_AFTER] + T_FROM])
    while each != node:
        head = max(end, g[g[each + T_LOT_BEFORE] + T_END], g[each + T_RELEASE])
        longest = max(longest, head + g[each + T_TRIAL])
        end = head + g[each + T_TIME]
        each = g[each + T_AFTER]
    return longest


def note_move(g: Graph, node: int, target: int, later: int, cost: int, forbidden: bool) -> None:
    """Note a move if it is the best so far, or, when forbidden, for want of another; of equal ones draw."""
    if forbidden and cost >= g[GH_BEST]:
        g[GH_ANY_TIES] += 1
        if draw_below(g, g[GH_ANY_TIES]) == 0:
            g[GH_ANY_FROM], g[GH_ANY_TO], g[GH_ANY_LATER] = node, target, later
        return
    g[GH_MOVE_TIES] = g[GH_MOVE_TIES] + 1 if cost == g[GH_MOVE_COST] else 1
    if draw_below(g, g[GH_MOVE_TIES]) == 0:
        g[GH_MOVE_FROM], g[GH_MOVE_TO], g[GH_MOVE_LATER] = node, target, later
        g[GH_MOVE_COST] = cost


def make_move(g: Graph) -> None:
    """Make the move that was chosen, and forbid for a while to turn back what it turned round."""
    node, target = g[GH_MOVE_FROM], g[GH_MOVE_TO]
    until = g[GH_ROUND] + g[GH_TENURE] + draw_below(g, g[GH_TENURE])
    g[GH_ROUND] += 1
    first, last = min(g[node + T_AT], g[target + T_AT]), max(g[node + T_AT], g[target + T_AT])
    each = node
    while each != target:
        if g[GH_MOVE_LATER] == 1:
            each = g[each + T_AFTER]
            g[g[node + T_FORBIDDEN] + g[each + T_NUMBER]] = until
        else:
            each = g[each + T_BEFORE]
            g[g[each + T_FORBIDDEN] + g[node + T_NUMBER]] = until
    if g[GH_MOVE_LATER] == 1:
        put_later(g, node, target)
    else:
        put_sooner(g, node, target)
    reckon_heads(g, first)
    reckon_tails(g, last)
    reckon_cost(g)
