"""The order of a job graph in trials: lots moved through it, nodes marked that must be reckoned anew, all turned back.

A node's key tells where it stands: in a place of the order or, for a trial, in the gap between two.
"""

from app.core.planning.graph_arrays import (
    E_AFTER,
    E_AT,
    E_BEFORE,
    E_NODE,
    GH_COUNT,
    GH_FIRST_MARK,
    GH_GAPS,
    GH_LAST_MARK,
    GH_LINKS,
    GH_LINKS_COUNT,
    GH_MARKS,
    GH_ORDER,
    GH_SAVED,
    GH_SCRATCH,
    LINK_COLUMNS,
    T_AFTER,
    T_AT,
    T_BEFORE,
    T_GAP,
    T_HEAD,
    T_LOT_AFTER,
    T_LOT_BEFORE,
    Graph,
)
from app.core.planning.kernels.graph import link, nowhere, unlink


def key_of(g: Graph, node: int) -> int:
    """Return the key of a node; that of the one that stands for none is 0."""
    return 2 * (g[node + T_AT] + 1) + g[node + T_GAP]


def node_at(g: Graph, key: int) -> int:
    """Return the node of a key."""
    return g[g[GH_GAPS] + (key >> 1)] if key & 1 else g[g[GH_ORDER] + (key >> 1) - 1]


def no_marks(g: Graph) -> None:
    """Begin to mark; no node is marked."""
    g[GH_FIRST_MARK], g[GH_LAST_MARK] = 2 * g[GH_COUNT] + 4, 0


def mark(g: Graph, node: int) -> None:
    """Mark a node to be reckoned anew."""
    key = key_of(g, node)
    g[g[GH_MARKS] + key] = 1
    g[GH_FIRST_MARK] = min(g[GH_FIRST_MARK], key)
    g[GH_LAST_MARK] = max(g[GH_LAST_MARK], key)


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


def move_lot(g: Graph, source: int, target: int) -> int:
    """Move the lot at one place of the order to another, its other nodes between the two with it.

    The order reads as a list of lots, in which the k-th time that a lot comes means its k-th operation. Only nodes that
    follow another at their station then are moved, each into a gap; return how many.
    """
    none = nowhere(g)
    node = g[g[GH_ORDER] + source]
    g[GH_LINKS_COUNT] = 0
    if target > source:
        while node != none and g[node + T_AT] <= target:
            follower = g[node + T_LOT_AFTER]
            until = target if follower == none else min(target, g[follower + T_AT] - 1)
            hold_back(g, node, until)
            node = follower
    else:
        while node != none and g[node + T_AT] >= target:
            leader = g[node + T_LOT_BEFORE]
            bring_forward(g, node, target if leader == none else max(target, g[leader + T_AT] + 1))
            node = leader
    mark_moved(g)
    return g[GH_LINKS_COUNT]


def hold_back(g: Graph, node: int, until: int) -> None:
    """Move a node behind those of its station up to place ``until``, if there are any."""
    none, after = nowhere(g), g[node + T_AFTER]
    before = node
    while after != none and g[after + T_AT] <= until:
        before = after
        after = g[after + T_AFTER]
    if before != node:
        put_between(g, before, node, after, until)


def bring_forward(g: Graph, node: int, since: int) -> None:
    """Move a node before those of its station from place ``since`` on, if there are any."""
    none, before = nowhere(g), g[node + T_BEFORE]
    after = node
    while before != none and g[before + T_AT] >= since:
        after = before
        before = g[before + T_BEFORE]
    if after != node:
        put_between(g, before, node, after, since - 1)


def put_between(g: Graph, before: int, node: int, after: int, place: int) -> None:
    """Put a node between two of its station and into the gap behind a place; note how it stood."""
    row = g[GH_LINKS] + g[GH_LINKS_COUNT] * LINK_COLUMNS
    g[row + E_NODE], g[row + E_AT], g[row + E_BEFORE] = node, g[node + T_AT], g[node + T_BEFORE]
    g[row + E_AFTER] = g[node + T_AFTER]
    g[GH_LINKS_COUNT] += 1
    unlink(g, node)
    link(g, before, node, after)
    g[node + T_AT], g[node + T_GAP] = place, 1
    g[g[GH_GAPS] + place + 1] = node


def mark_moved(g: Graph) -> None:
    """Mark the nodes that follow another one at their station now, once all stand where they stay."""
    no_marks(g)
    for at in range(g[GH_LINKS_COUNT]):
        row = g[GH_LINKS] + at * LINK_COLUMNS
        mark_at_station(g, g[row + E_NODE], g[row + E_AFTER])


def mark_at_station(g: Graph, node: int, followed: int) -> None:
    """Mark a node that was moved, the one that followed it before, and the one that follows it now."""
    mark(g, node)
    for each in (followed, g[node + T_AFTER]):
        if each != nowhere(g):
            mark(g, each)


def turn_back_links(g: Graph) -> None:
    """Put every node back that was moved into a gap."""
    for at in range(g[GH_LINKS_COUNT] - 1, -1, -1):
        row = g[GH_LINKS] + at * LINK_COLUMNS
        node = g[row + E_NODE]
        unlink(g, node)
        link(g, g[row + E_BEFORE], node, g[row + E_AFTER])
        g[g[GH_GAPS] + g[node + T_AT] + 1] = 0
        g[node + T_AT], g[node + T_GAP] = g[row + E_AT], 0


def close_gaps(g: Graph, first: int, last: int) -> None:
    """Give the nodes in gaps places of the order, all between ``first`` and ``last``."""
    order, scratch, gaps = g[GH_ORDER], g[GH_SCRATCH], g[GH_GAPS]
    held = 0
    for place in range(first, last + 2):
        if g[gaps + place] != 0:
            g[scratch + held] = g[gaps + place]
            g[gaps + place] = 0
            held += 1
        if place <= last and g[g[order + place] + T_GAP] == 0:
            g[scratch + held] = g[order + place]
            held += 1
    for at in range(held):
        node = g[scratch + at]
        g[order + first + at] = node
        g[node + T_AT], g[node + T_GAP] = first + at, 0


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
