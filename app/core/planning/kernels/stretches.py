"""Stretches of the order of a job graph: exchanged for the same nodes in another order, and sorted by their times."""

from app.core.planning.graph_arrays import (
    GH_COUNT,
    GH_NEXTS,
    GH_ORDER,
    GH_SAVED,
    GH_SCRATCH,
    GH_TAILS,
    T_AFTER,
    T_AT,
    T_BEFORE,
    T_HEAD,
    T_LOT,
    T_LOT_AFTER,
    T_STATION,
    Graph,
)


def save_stretch(g: Graph, first: int, last: int) -> None:
    """Note the order from place ``first`` to ``last``, to turn a move back."""
    for place in range(first, last + 1):
        g[g[GH_SAVED] + place] = g[g[GH_ORDER] + place]


def take_stretch(g: Graph, first: int, last: int, source: int) -> int:
    """Put the nodes that stand at ``source`` in place of a stretch, which has the same ones in another order.

    Return the last place at which a node stands that follows other nodes now.
    """
    order, tails, nexts = g[GH_ORDER], g[GH_TAILS], g[GH_NEXTS]
    for place in range(order + last, order + first - 1, -1):
        node = g[place]
        station = g[node + T_STATION]
        g[tails + station] = g[node + T_BEFORE]
    for place in range(order + first, order + last + 1):
        node = g[place]
        g[nexts + g[node + T_STATION]] = g[node + T_AFTER]
    for place in range(first, last + 1):
        node = g[source + place]
        tail = tails + g[node + T_STATION]
        g[order + place] = node
        g[node + T_AT] = place
        g[node + T_BEFORE] = g[tail]
        g[g[tail] + T_AFTER] = node
        g[tail] = node
    reach = last
    for place in range(order + first, order + last + 1):
        node = g[place]
        station = g[node + T_STATION]
        if g[tails + station] == node:
            after = g[nexts + station]
            g[node + T_AFTER] = after
            g[after + T_BEFORE] = node
            reach = max(reach, g[after + T_AT])
    return reach


def rotate_lot(g: Graph, source: int, target: int) -> int:
    """Move the lot at one place of the order to another, its other nodes between the two with it; return the reach.

    The order reads as a list of lots, in which the k-th time that a lot comes means its k-th operation.
    """
    first, last = min(source, target), max(source, target)
    save_stretch(g, first, last)
    saved, scratch = g[GH_SAVED], g[GH_SCRATCH]
    lot = g[g[saved + source] + T_LOT]
    mover = first_of_lot(g, lot, first)
    place = first
    if target < source:
        g[scratch + place] = mover
        mover = g[mover + T_LOT_AFTER]
        place += 1
    for at in range(first if target < source else first + 1, last if target < source else last + 1):
        if g[g[saved + at] + T_LOT] == lot:
            g[scratch + place] = mover
            mover = g[mover + T_LOT_AFTER]
        else:
            g[scratch + place] = g[saved + at]
        place += 1
    if target > source:
        g[scratch + place] = mover
    return take_stretch(g, first, last, scratch)


def first_of_lot(g: Graph, lot: int, first: int) -> int:
    """Return the first node of a lot from a place on."""
    place = g[GH_ORDER] + first
    while g[g[place] + T_LOT] != lot:
        place += 1
    return g[place]


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
