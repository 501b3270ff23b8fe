"""Path relinking: from one plan towards another, by swaps of neighbours that the other has the other way round.

Both are orders in which every node stands behind those that it waits for, so that every order on the way is one too.
"""

from app.core.planning.graph_arrays import GH_COUNT, GH_ORDER, T_AT, T_STATION, Graph
from app.core.planning.kernels.graph import draw_below, take_order


def relink(g: Graph, goal: list[int], permille: int) -> int:
    """Go so far from the order towards another; return in how many pairs at stations the two differed.

    ``goal`` has the rows of all nodes.
    """
    order, count = g[GH_ORDER], g[GH_COUNT]
    for at in range(count):
        g[goal[at] + T_AT] = at
    apart = pairs_apart(g)
    left = apart * permille // 1000
    while left > 0:
        at = order + draw_below(g, count - 1)
        # From a drawn place on, the next two neighbours that are the other way round in the goal.
        while g[g[at] + T_AT] < g[g[at + 1] + T_AT]:
            at = at + 1 if at + 2 < order + count else order
        if g[g[at] + T_STATION] == g[g[at + 1] + T_STATION]:
            left -= 1
        g[at], g[at + 1] = g[at + 1], g[at]
    take_order(g)
    return apart


def pairs_apart(g: Graph) -> int:
    """Return how many pairs of nodes at one station are the other way round in the goal."""
    order, count = g[GH_ORDER], g[GH_COUNT]
    apart = 0
    for at in range(order, order + count):
        for other in range(at + 1, order + count):
            same = g[g[at] + T_STATION] == g[g[other] + T_STATION]
            if same and g[g[at] + T_AT] > g[g[other] + T_AT]:
                apart += 1
    return apart
