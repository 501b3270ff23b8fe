"""The job graph: operations linked in their lots and at their stations, with the longest ways to and from each.

``g`` is the array that ``app.core.planning.graph_arrays`` describes. A move puts one node behind or before another of
its station; the order, in which every node stands behind those it waits for, is mended between the two, which also
tells a move that would have work wait for itself.
"""

from app.core.planning.graph_arrays import (
    GH_COST,
    GH_COUNT,
    GH_KEPT,
    GH_LASTS,
    GH_LOTS,
    GH_NODES,
    GH_ORDER,
    GH_SCRATCH,
    GH_SEED,
    GH_STATIONS,
    GH_TAILS,
    NODE_COLUMNS,
    T_AFTER,
    T_AT,
    T_BEFORE,
    T_END,
    T_FROM,
    T_HEAD,
    T_LOT_AFTER,
    T_LOT_BEFORE,
    T_RELEASE,
    T_STATION,
    T_TAIL,
    T_TIME,
    Graph,
)
from app.core.planning.kernels.luck import drawn_below


def draw_below(g: Graph, most: int) -> int:
    """Return the next number below ``most`` of a search."""
    return drawn_below(g, GH_SEED, most)


def nowhere(g: Graph) -> int:
    """Return the row that stands for no node."""
    return g[GH_NODES] + g[GH_COUNT] * NODE_COLUMNS


def reckon_heads(g: Graph, first: int) -> None:
    """Reckon the heads of the nodes from place ``first`` of the order on."""
    order = g[GH_ORDER]
    for place in range(order + first, order + g[GH_COUNT]):
        node = g[place]
        head = max(g[node + T_RELEASE], g[g[node + T_LOT_BEFORE] + T_END], g[g[node + T_BEFORE] + T_END])
        g[node + T_HEAD] = head
        g[node + T_END] = head + g[node + T_TIME]


def reckon_tails(g: Graph, last: int) -> None:
    """Reckon the tails of the nodes from place ``last`` of the order back."""
    order = g[GH_ORDER]
    for place in range(order + last, order - 1, -1):
        node = g[place]
        tail = max(g[g[node + T_LOT_AFTER] + T_FROM], g[g[node + T_AFTER] + T_FROM])
        g[node + T_TAIL] = tail
        g[node + T_FROM] = tail + g[node + T_TIME]


def reckon_cost(g: Graph) -> None:
    """Note the end of the last lot."""
    last = 0
    for place in range(g[GH_LASTS], g[GH_LASTS] + g[GH_LOTS]):
        last = max(last, g[g[place] + T_END])
    g[GH_COST] = last


def take_order(g: Graph) -> None:
    """Link the nodes of each station as they follow in the order, and reckon everything anew."""
    none = nowhere(g)
    for station in range(g[GH_STATIONS]):
        g[g[GH_TAILS] + station] = none
    for at in range(g[GH_COUNT]):
        node = g[g[GH_ORDER] + at]
        g[node + T_AT] = at
        last = g[GH_TAILS] + g[node + T_STATION]
        g[node + T_BEFORE], g[node + T_AFTER] = g[last], none
        if g[last] != none:
            g[g[last] + T_AFTER] = node
        g[last] = node
    reckon_heads(g, 0)
    reckon_tails(g, g[GH_COUNT] - 1)
    reckon_cost(g)


def keep_order(g: Graph) -> None:
    """Keep the order as that of the best plan."""
    for at in range(g[GH_COUNT]):
        g[g[GH_KEPT] + at] = g[g[GH_ORDER] + at]


def unlink(g: Graph, node: int) -> None:
    """Take a node out of the row at its station."""
    before, after, none = g[node + T_BEFORE], g[node + T_AFTER], nowhere(g)
    if before != none:
        g[before + T_AFTER] = after
    if after != none:
        g[after + T_BEFORE] = before


def link(g: Graph, before: int, node: int, after: int) -> None:
    """Put a node between two that are neighbours at its station."""
    none = nowhere(g)
    g[node + T_BEFORE], g[node + T_AFTER] = before, after
    if before != none:
        g[before + T_AFTER] = node
    if after != none:
        g[after + T_BEFORE] = node


def may_go_later(g: Graph, node: int, target: int) -> bool:
    """Tell whether, plain from the times, a later node of the station does not wait for what follows in the lot.

    What waits for another does not start before that one ends.
    """
    follower = g[node + T_LOT_AFTER]
    return follower == nowhere(g) or (follower != target and g[follower + T_END] > g[target + T_HEAD])


def may_go_sooner(g: Graph, node: int, target: int) -> bool:
    """Tell whether, plain from the times, what comes before in the lot does not wait for a sooner node."""
    leader = g[node + T_LOT_BEFORE]
    return leader == nowhere(g) or (leader != target and g[target + T_END] > g[leader + T_HEAD])


def put_later(g: Graph, node: int, target: int) -> None:
    """Move a node right behind another of its station that comes later; the ways stay to be reckoned."""
    first, last = g[node + T_AT], g[target + T_AT]
    unlink(g, node)
    link(g, target, node, g[target + T_AFTER])
    order, scratch = g[GH_ORDER], g[GH_SCRATCH]
    held = 0
    free = order + first
    for place in range(order + first, order + last + 1):
        each = g[place]
        if each == node or waits_marked(g, each):
            g[scratch + held] = each
            g[each + T_AT] = -1
            held += 1
        else:
            g[each + T_AT] = free - order
            g[free] = each
            free += 1
    for at in range(held):
        each = g[scratch + at]
        g[each + T_AT] = free - order
        g[free] = each
        free += 1


def waits_marked(g: Graph, node: int) -> bool:
    """Tell whether a node waits for one that is held back."""
    return g[g[node + T_LOT_BEFORE] + T_AT] < 0 or g[g[node + T_BEFORE] + T_AT] < 0


def put_sooner(g: Graph, node: int, target: int) -> None:
    """Move a node right before another of its station that comes sooner; the ways stay to be reckoned."""
    first, last = g[target + T_AT], g[node + T_AT]
    unlink(g, node)
    link(g, g[target + T_BEFORE], node, target)
    order, scratch = g[GH_ORDER], g[GH_SCRATCH]
    held = 0
    free = order + last
    for place in range(order + last, order + first - 1, -1):
        each = g[place]
        if each == node or marked_waits(g, each):
            g[scratch + held] = each
            g[each + T_AT] = -1
            held += 1
        else:
            g[each + T_AT] = free - order
            g[free] = each
            free -= 1
    for at in range(held):
        each = g[scratch + at]
        g[each + T_AT] = free - order
        g[free] = each
        free -= 1


def marked_waits(g: Graph, node: int) -> bool:
    """Tell whether one that is brought forward waits for a node."""
    return g[g[node + T_LOT_AFTER] + T_AT] < 0 or g[g[node + T_AFTER] + T_AT] < 0
