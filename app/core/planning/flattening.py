"""From the tables of a shop to its two arrays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from app.core.planning import arrays as a


@dataclass(slots=True)
class Hours:
    """Open spans of all calendars, one calendar after another, each with the open seconds before it.

    A row of ``calendars`` has the first span, the one after the last, and whether there is nothing beyond them.
    """

    calendars: list[list[int]]
    spans: list[list[int]]


@dataclass(slots=True)
class Days:
    """The wall clock of receiving: from when which offset from UTC holds; its days, as local day numbers."""

    since: list[int]
    offsets: list[int]
    working: list[int]
    receiving: int


@dataclass(slots=True)
class Tables:
    """A shop as tables; places in other tables count from 0."""

    now: int
    hours: Hours
    days: Days
    ops: list[list[int]]
    stations: list[list[int]]
    pools: list[list[int]]
    lots: list[list[int]]
    pool_stations: list[int]
    station_pools: list[int]
    waiters: list[int]
    under_way: list[list[int]]
    returns: list[list[int]]
    arrivals: list[list[int]]
    crews: list[list[int]]
    presences: list[list[int]]
    people: int


def flatten(tables: Tables, size: int) -> tuple[list[int], int]:
    """Return the shop's array, and how long that of the state must be for some ``size`` runs an operation."""
    fixed = [0] * a.HEAD
    length = _state_parts(fixed, tables, size)
    hours, days = tables.hours, tables.days
    put_rows(fixed, a.F_SPANS, hours.spans)
    fixed[a.F_SINCE], fixed[a.F_OFFSETS] = len(fixed), len(fixed) + len(days.since)
    fixed += [*days.since, *days.offsets]
    fixed[a.F_WORKING], fixed[a.F_WORKING_END] = len(fixed), len(fixed) + len(days.working)
    fixed += days.working
    for place, rows in (
        (a.F_OPS, tables.ops),
        (a.F_STATIONS, tables.stations),
        (a.F_POOLS, tables.pools),
        (a.F_LOTS, tables.lots),
        (a.F_LOADS, tables.under_way),
        (a.F_RETURNS, tables.returns),
        (a.F_ARRIVALS, tables.arrivals),
        (a.F_CREWS, tables.crews),
        (a.F_PRESENCES, tables.presences),
        (a.F_CALENDARS, _calendars(hours, fixed[a.F_SPANS])),
    ):
        put_rows(fixed, place, rows)
        if place in _COUNTS:
            fixed[_COUNTS[place]] = len(rows)
    _point(fixed, tables)
    fixed[a.F_RECEIVING] = _places(fixed, a.F_CALENDARS, [days.receiving])[0]
    fixed[a.F_NOW], fixed[a.F_PEOPLE] = tables.now, tables.people
    return fixed, length


def _calendars(hours: Hours, spans: int) -> list[list[int]]:
    """Return the rows of the calendars, told where the spans begin."""
    return [
        [spans + first * a.SPAN_COLUMNS, spans + end * a.SPAN_COLUMNS, whole, 0]
        for first, end, whole in hours.calendars
    ]


def put_rows(fixed: list[int], place: int, rows: Iterable[Sequence[int]]) -> None:
    """Put rows behind what is there, and note at ``place`` where they begin."""
    fixed[place] = len(fixed)
    for row in rows:
        fixed += row


_COUNTS: Final = {
    a.F_OPS: a.F_OPS_COUNT,
    a.F_STATIONS: a.F_STATIONS_COUNT,
    a.F_POOLS: a.F_POOLS_COUNT,
    a.F_LOTS: a.F_LOTS_COUNT,
    a.F_LOADS: a.F_LOADS_COUNT,
    a.F_RETURNS: a.F_RETURNS_COUNT,
    a.F_ARRIVALS: a.F_ARRIVALS_COUNT,
    a.F_CREWS: a.F_CREWS_COUNT,
    a.F_CALENDARS: a.F_CALENDARS_COUNT,
}
_COLUMNS: Final = {
    a.F_OPS: a.OP_COLUMNS,
    a.F_STATIONS: a.STATION_COLUMNS,
    a.F_POOLS: a.POOL_COLUMNS,
    a.F_LOTS: a.LOT_COLUMNS,
    a.F_LOADS: a.UNDER_WAY_COLUMNS,
    a.F_RETURNS: a.RETURN_COLUMNS,
    a.F_ARRIVALS: a.RETURN_COLUMNS,
    a.F_CREWS: a.CREW_COLUMNS,
    a.F_CALENDARS: a.CALENDAR_COLUMNS,
    a.F_TASKS: a.STATE_OP_COLUMNS,
    a.F_BENCHES: a.STATE_STATION_COLUMNS,
    a.F_BINS: a.BIN_COLUMNS,
    a.F_CLOCKS: 1,
}
_TOLD: Final = (
    (a.F_OPS, a.O_NEXT, a.F_OPS),
    (a.F_OPS, a.O_POOL, a.F_POOLS),
    (a.F_STATIONS, a.S_ATTENDED, a.F_CALENDARS),
    (a.F_STATIONS, a.S_RUNNING, a.F_CALENDARS),
    (a.F_LOTS, a.L_FIRST, a.F_OPS),
    (a.F_LOADS, a.U_OP, a.F_OPS),
    (a.F_LOADS, a.U_STATION, a.F_STATIONS),
    (a.F_RETURNS, a.B_OP, a.F_OPS),
    (a.F_ARRIVALS, a.B_OP, a.F_OPS),
    (a.F_CREWS, a.C_CALENDAR, a.F_CALENDARS),
)
"""The columns of each table that tell rows of another."""
_OF_STATE: Final = (
    (a.F_OPS, a.O_TASK, a.F_TASKS),
    (a.F_STATIONS, a.S_BENCH, a.F_BENCHES),
    (a.F_POOLS, a.P_BIN, a.F_BINS),
    (a.F_CALENDARS, a.K_CLOCK, a.F_CLOCKS),
)
"""The columns of each table that tell its own rows of the state."""


def _point(fixed: list[int], tables: Tables) -> None:
    """Have rows that tell others tell where those begin: in the tables they told their numbers."""
    for table, column, other in _TOLD:
        rows = _column(fixed, table, column)
        fixed[rows] = _places(fixed, other, fixed[rows])
    for table, column, other in _OF_STATE:
        rows = _column(fixed, table, column)
        count = len(fixed[rows])
        fixed[rows] = range(fixed[other], fixed[other] + count * _COLUMNS[other], _COLUMNS[other])
    for table, columns, others in (
        (a.F_STATIONS, (a.S_POOLS, a.S_POOLS_END), _places(fixed, a.F_POOLS, tables.station_pools)),
        (a.F_POOLS, (a.P_STATIONS, a.P_STATIONS_END), _places(fixed, a.F_STATIONS, tables.pool_stations)),
        (a.F_LOTS, (a.L_WAITERS, a.L_WAITERS_END), _places(fixed, a.F_OPS, tables.waiters)),
    ):
        for column in columns:
            _move(fixed, _column(fixed, table, column), len(fixed))
        fixed += others
    _move(fixed, _column(fixed, a.F_POOLS, a.P_QUEUE), fixed[a.F_AWAKE] + len(tables.stations))


def _column(fixed: list[int], table: int, column: int) -> slice:
    """Return where a column of a table is."""
    columns = _COLUMNS[table]
    return slice(fixed[table] + column, fixed[table] + fixed[_COUNTS[table]] * columns, columns)


def _places(fixed: Sequence[int], table: int, numbers: Sequence[int]) -> list[int]:
    """Return where rows of a table begin, told their numbers; -1 is none."""
    first, columns = fixed[table], _COLUMNS[table]
    return [first + number * columns if number >= 0 else -1 for number in numbers]


def _move(fixed: list[int], rows: slice, by: int) -> None:
    """Move what is told from the beginning of a list to where that begins."""
    fixed[rows] = [place + by for place in fixed[rows]]


def _state_parts(fixed: list[int], tables: Tables, size: int) -> int:
    """Note where the parts of the state's array begin and return its length."""
    ops, stations, pools = len(tables.ops), len(tables.stations), len(tables.pools)
    runs = size * ops + 64
    fixed[a.F_MOST_RUNS], fixed[a.F_MOST_TRANSFERS] = runs, 64 * size
    fixed[a.F_MOST_EVENTS] = runs + 4 * stations * size
    parts = {
        a.F_TASKS: ops * a.STATE_OP_COLUMNS,
        a.F_BENCHES: stations * a.STATE_STATION_COLUMNS,
        a.F_JOURNEYS: len(tables.lots) * a.STATE_LOT_COLUMNS,
        a.F_BINS: pools * a.BIN_COLUMNS,
        a.F_RUNS: runs * a.RUN_COLUMNS,
        a.F_JOBS: runs * a.JOB_COLUMNS,
        a.F_EVENTS: fixed[a.F_MOST_EVENTS],
        a.F_TRANSFERS: 2 * fixed[a.F_MOST_TRANSFERS],
        a.F_BY_RANK: ops,
        a.F_ASIDE: ops + 1,
        a.F_CLOCKS: len(tables.hours.calendars),
        a.F_AWAKE: stations + ops + pools,  # with the queues of the pools behind it, each with one more place before it
    }
    at = a.NUMBERS
    for place, length in parts.items():
        fixed[place] = at
        at += length
    return at
