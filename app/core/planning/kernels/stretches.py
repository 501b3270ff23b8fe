"""The order of a job graph in trials: nodes marked that must be reckoned anew, a stretch turned back."""

from app.core.planning.graph_arrays import (
    GH_COUNT,
    GH_FIRST_MARK,
    GH_LAST_MARK,
    GH_MARKS,
    GH_ORDER,
    GH_SAVED,
    T_AFTER,
    T_AT,
    T_HEAD,
    Graph,
)
from app.core.planning.kernels.graph import nowhere


def no_marks(g: Graph) -> None:
    """Begin to mark; no node is marked."""
    g[GH_FIRST_MARK], g[GH_LAST_MARK] = g[GH_COUNT], -1


def mark(g: Graph, node: int) -> None:
    """Mark a node to be reckoned anew."""
    place = g[node + T_AT]
    g[g[GH_MARKS] + place] = 1
    g[GH_FIRST_MARK] = min(g[GH_FIRST_MARK], place)
    g[GH_LAST_MARK] = max(g[GH_LAST_MARK], place)


def save_stretch(g: Graph, first: int, last: int) -> None:
    """Note the order from place ``first`` to ``last``, to turn a move back."""
    for place in range(first, last + 1):
        g[g[GH_SAVED] + place] = g[g[GH_ORDER] + place]


def turn_back_stretch(g: Graph, first: int, last: int) -> None:
    """Put the nodes back into the places of the order that were noted."""
    for place in range(first, last + 1):
        node = g[g[GH_SAVED] + place]
        g[g[GH_ORDER] + place] = node
        g[node + T_AT] = place


def mark_at_station(g: Graph, node: int, followed: int) -> None:
    """Mark a node that was moved, the one that followed it before, and the one that follows it now."""
    mark(g, node)
    for each in (followed, g[node + T_AFTER]):
        if each != nowhere(g):
            mark(g, each)


def sort_order(g: Graph) -> None:
    """Sort the order by the starts of its nodes."""
    order = g[GH_ORDER]
    for at in range(order + 1, order + g[GH_COUNT]):
        node = g[at]
        head = g[node + T_HEAD]
        to = at
        while to > order and g[g[to - 1] + T_HEAD] > head:
            g[to] = g[to - 1]
            g[g[to] + T_AT] = to - order
            to -= 1
        g[to] = node
        g[node + T_AT] = to - order
