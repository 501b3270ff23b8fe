"""The times of a node of a job graph within the hours of its station.

``p`` is the shop's array with the operations of the list, ``g`` that of the job graph.
"""

from app.core.planning.arrays import K_FIRST, S_ATTENDED, S_FIT, S_RUNNING, SP_CLOSES, SP_OPENS, SPAN_COLUMNS, Packed
from app.core.planning.graph_arrays import (
    GH_COUNT,
    GH_ORDER,
    GH_TIMES,
    IN_HOURS,
    PLAIN_TIMES,
    T_BEFORE,
    T_END,
    T_HEAD,
    T_LAST_SPAN,
    T_LOT_BEFORE,
    T_READY,
    T_RELEASE,
    T_SPAN,
    T_STATION,
    T_STEP,
    T_TIME,
    TOO_LATE,
    Graph,
)
from app.core.planning.kernels.appending import ends_at, setup_after, starts_at
from app.core.planning.kernels.graph import nowhere
from app.core.planning.kernels.rows import station_at, step_at
from app.core.planning.list_arrays import A_OPTIONS, V_WORK


def ready_at(g: Graph, node: int) -> int:
    """Return when everything that a node waits for is over."""
    return max(g[node + T_RELEASE], g[g[node + T_LOT_BEFORE] + T_END], g[g[node + T_BEFORE] + T_END])


def set_times(p: Packed, g: Graph, node: int, ready: int) -> None:
    """Reckon the times of a node that waits for nothing more from ``ready`` on."""
    g[node + T_READY] = ready
    if g[GH_TIMES] == PLAIN_TIMES:
        g[node + T_HEAD] = ready
        g[node + T_END] = ready + g[node + T_TIME]
    elif g[GH_TIMES] == IN_HOURS:
        walk_spans(p, g, node, ready, g[node + T_TIME])
    else:
        set_in_context(p, g, node, ready)


def set_in_context(p: Packed, g: Graph, node: int, ready: int) -> None:
    """Reckon the times of a node whose set-up depends on the one before, or which must fit or may go on unattended."""
    where = station_at(p, g[node + T_STATION])
    step = step_at(p, g[node + T_STEP])
    setup = setup_after(p, g[g[node + T_BEFORE] + T_STEP], g[node + T_STATION], step)
    work = p[p[step + A_OPTIONS] + V_WORK]
    if p[where + S_FIT] == 0 and p[where + S_ATTENDED] == p[where + S_RUNNING]:
        walk_spans(p, g, node, ready, setup + work)
        return
    head = starts_at(p, where, ready, setup + work)
    end = -1 if head < 0 else ends_at(p, where, head, setup, work)
    g[node + T_HEAD], g[node + T_END] = (head, end) if end >= 0 else (TOO_LATE, TOO_LATE)


def walk_spans(p: Packed, g: Graph, node: int, ready: int, left: int) -> None:
    """Spend ``left`` seconds of work in a station's spans: from where the node before it ends, a few further on."""
    last, before = g[node + T_LAST_SPAN], g[node + T_BEFORE]
    span = (
        g[before + T_SPAN] if before != nowhere(g) else p[p[station_at(p, g[node + T_STATION]) + S_ATTENDED] + K_FIRST]
    )
    while span < last and p[span + SP_CLOSES] <= ready:
        span += SPAN_COLUMNS
    begun = max(ready, p[span + SP_OPENS]) if span < last else TOO_LATE
    g[node + T_HEAD] = begun
    while span < last and left > p[span + SP_CLOSES] - begun:
        left -= p[span + SP_CLOSES] - begun
        span += SPAN_COLUMNS
        begun = p[span + SP_OPENS] if span < last else TOO_LATE
    g[node + T_SPAN] = span
    g[node + T_END] = begun + left if span < last else TOO_LATE


def set_all_times(p: Packed, g: Graph) -> None:
    """Reckon the times of all nodes."""
    for place in range(g[GH_ORDER], g[GH_ORDER] + g[GH_COUNT]):
        node = g[place]
        set_times(p, g, node, ready_at(g, node))
