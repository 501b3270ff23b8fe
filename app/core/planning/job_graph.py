"""Lists as job graphs: every operation has one station, so that a plan is the order of the operations at each."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.core.planning import arrays as a
from app.core.planning import graph_arrays as ga
from app.core.planning import list_arrays as la
from app.core.planning.kernels.rows import sole_at, step_at
from app.core.planning.listing import Line, follows_others


@dataclass(frozen=True, slots=True)
class JobGraph:
    """A list as a job graph.

    Attributes:
        line: the list.
        start: its array, still without an order.
        nodes: the rows of its nodes, by operation of the list.
    """

    line: Line
    start: list[int]
    nodes: tuple[int, ...]

    @property
    def plain(self) -> bool:
        """Whether operations take the same time wherever and whenever they are done."""
        return self.start[ga.GH_TIMES] == ga.PLAIN_TIMES

    def lots_of(self, order: Sequence[int]) -> list[int]:
        """Return the lots of nodes in an order: the list that a plan stands for."""
        return [self.start[node + ga.T_LOT] for node in order]

    def order_of(self, lots: Sequence[int]) -> list[int]:
        """Return the nodes of a list of lots."""
        fixed = self.line.fixed
        journeys = range(fixed[a.F_JOURNEY_STEPS], len(fixed), la.JOURNEY_STEP_COLUMNS)[: fixed[a.F_LOTS_COUNT]]
        coming = [fixed[journey + la.W_FIRST] for journey in journeys]
        order = []
        for lot in lots:
            order.append(self.nodes[coming[lot]])
            coming[lot] += 1
        return order


def as_job_graph(line: Line) -> JobGraph | None:
    """Return a list as a job graph, or None where there is a choice of stations or an operation takes no time."""
    fixed = line.fixed
    rows = [_row(fixed, step) for step in range(fixed[a.F_STEPS_COUNT])]
    if fixed[a.F_CHOICE] or any(row[ga.T_TIME] <= 0 for row in rows):
        return None
    return _laid_out(line, rows)


def _row(fixed: list[int], op: int) -> list[int]:
    """Return the row of an operation without its links; its set-up counts in full."""
    row, step = [0] * ga.NODE_COLUMNS, step_at(fixed, op)
    option = fixed[step + la.A_OPTIONS]
    row[ga.T_TIME] = fixed[step + la.A_SETUP] + fixed[option + la.V_WORK]
    row[ga.T_STATION], row[ga.T_LOT] = fixed[option + la.V_STATION], fixed[step + la.A_LOT]
    row[ga.T_LAST_SPAN] = fixed[_calendar(fixed, row[ga.T_STATION]) + a.K_END]
    row[ga.T_RELEASE], row[ga.T_DUE] = fixed[sole_at(fixed, op) + la.T_NOT_BEFORE], a.NEVER_DUE
    return row


def _times(fixed: Sequence[int], rows: Sequence[Sequence[int]]) -> int:
    """Return what the times of the nodes depend on."""
    most = sum(row[ga.T_TIME] for row in rows) + max(row[ga.T_RELEASE] for row in rows)
    steps = (fixed[a.F_STEPS] + step * la.STEP_COLUMNS for step in range(fixed[a.F_STEPS_COUNT]))
    if any(follows_others(fixed[at : at + la.STEP_COLUMNS]) for at in steps):
        return ga.IN_CONTEXT
    times = ga.PLAIN_TIMES
    for station in range(fixed[a.F_STATIONS_COUNT]):
        row = fixed[a.F_STATIONS] + station * a.STATION_COLUMNS
        if fixed[row + a.S_FIT] or fixed[row + a.S_ATTENDED] != fixed[row + a.S_RUNNING]:
            return ga.IN_CONTEXT
        span = fixed[_calendar(fixed, station) + a.K_FIRST]
        if fixed[span + a.SP_OPENS] > 0 or fixed[span + a.SP_CLOSES] < most:
            times = ga.IN_HOURS
    return times


def _calendar(fixed: Sequence[int], station: int) -> int:
    """Return the row of a station's attended hours."""
    return fixed[fixed[a.F_STATIONS] + station * a.STATION_COLUMNS + a.S_ATTENDED]


def _laid_out(line: Line, rows: list[list[int]]) -> JobGraph:
    """Return the array with its nodes linked in their lots."""
    count, stations, width = len(rows), line.fixed[a.F_STATIONS_COUNT], _number(rows, line.fixed[a.F_STATIONS_COUNT])
    nodes = tuple(ga.GRAPH_HEAD + place * ga.NODE_COLUMNS for place in range(count + 1))
    head = [0] * ga.GRAPH_HEAD
    head[ga.GH_NODES], head[ga.GH_COUNT], head[ga.GH_STATIONS], head[ga.GH_WIDTH] = nodes[0], count, stations, width
    forbidden = nodes[-1] + ga.NODE_COLUMNS
    end = _parts(head, forbidden + count * width)
    lasts = _link_lots(line.fixed, rows, nodes)
    head[ga.GH_LASTS], head[ga.GH_LOTS], head[ga.GH_TENURE] = end, len(lasts), 10 + len(lasts) // stations
    head[ga.GH_TIMES] = _times(line.fixed, rows)
    whole = head[ga.GH_TIMES] != ga.IN_CONTEXT  # else an order may save set-up that the rows count in full
    head[ga.GH_BOUND] = _bound(rows, stations) if whole and line.fixed[a.F_MAKESPAN] else 0
    for place, row in enumerate(rows):
        row[ga.T_STEP], row[ga.T_FORBIDDEN] = place, forbidden + place * width
    none = [0] * ga.NODE_COLUMNS
    none[ga.T_STEP] = -1
    none[ga.T_LOT_BEFORE] = none[ga.T_LOT_AFTER] = none[ga.T_BEFORE] = none[ga.T_AFTER] = nodes[-1]
    array = [*head, *(each for row in rows for each in row), *none]
    return JobGraph(line, array + [0] * (end - len(array)) + lasts, nodes[:-1])


def _parts(head: list[int], at: int) -> int:
    """Note where the parts behind the nodes begin, the first at ``at``; return where they end."""
    count, stations = head[ga.GH_COUNT], head[ga.GH_STATIONS]
    parts = dict.fromkeys((ga.GH_ORDER, ga.GH_SCRATCH, ga.GH_PATH, ga.GH_KEPT, ga.GH_SAVED), count)
    for place, length in {
        **parts,
        ga.GH_NOTES: count * ga.NOTE_COLUMNS,
        ga.GH_TAILS: stations,
        ga.GH_MARKS: count,
    }.items():
        head[place] = at
        at += length
    return at


def _link_lots(fixed: Sequence[int], rows: list[list[int]], nodes: Sequence[int]) -> list[int]:
    """Link the nodes of each lot; return the last one of each."""
    by_lot: dict[int, list[int]] = {}
    for place, row in enumerate(rows):
        row[ga.T_LOT_BEFORE] = row[ga.T_LOT_AFTER] = row[ga.T_BEFORE] = row[ga.T_AFTER] = nodes[-1]
        by_lot.setdefault(row[ga.T_LOT], []).append(place)
    for places in by_lot.values():
        for before, after in pairwise(places):
            rows[before][ga.T_LOT_AFTER], rows[after][ga.T_LOT_BEFORE] = nodes[after], nodes[before]
        _price(fixed, rows[places[-1]])
    return [nodes[places[-1]] for places in by_lot.values()]


def _price(fixed: Sequence[int], last: list[int]) -> None:
    """Note what it costs when a lot's last operation ends late."""
    journey = fixed[a.F_JOURNEY_STEPS] + last[ga.T_LOT] * la.JOURNEY_STEP_COLUMNS
    last[ga.T_DUE], last[ga.T_WEIGHT] = fixed[journey + la.W_DUE], fixed[journey + la.W_WEIGHT]


def _number(rows: list[list[int]], stations: int) -> int:
    """Number the nodes of each station and return the most that one has."""
    counts = [0] * stations
    for row in rows:
        row[ga.T_NUMBER] = counts[row[ga.T_STATION]]
        counts[row[ga.T_STATION]] += 1
    return max(counts)


def _bound(rows: list[list[int]], stations: int) -> int:
    """Return what no plan can be shorter than: the longest lot, or for a station its work and the least around it."""
    heads: list[int] = []
    tails, after = [0] * len(rows), 0
    for place, row in enumerate(rows):
        first = place == 0 or rows[place - 1][ga.T_LOT] != row[ga.T_LOT]
        heads.append(max(row[ga.T_RELEASE], 0 if first else heads[-1] + rows[place - 1][ga.T_TIME]))
    for place in range(len(rows) - 1, -1, -1):
        last = place == len(rows) - 1 or rows[place + 1][ga.T_LOT] != rows[place][ga.T_LOT]
        tails[place] = after = 0 if last else after + rows[place + 1][ga.T_TIME]
    bound = max(head + row[ga.T_TIME] + tail for head, row, tail in zip(heads, rows, tails, strict=True))
    for station in range(stations):
        here = [place for place, row in enumerate(rows) if row[ga.T_STATION] == station]
        if here:
            work = sum(rows[place][ga.T_TIME] for place in here)
            bound = max(bound, work + min(heads[place] for place in here) + min(tails[place] for place in here))
    return bound
