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
    pool_stations, station_pools, waiters = _append(fixed, tables.pool_stations, tables.station_pools, tables.waiters)
    queues = fixed[a.F_AWAKE] + len(tables.stations)
    moved = {
        a.F_OPS: tables.ops,
        a.F_STATIONS: _moved(tables.stations, {a.S_POOLS: station_pools, a.S_POOLS_END: station_pools}),
        a.F_POOLS: _moved(
            tables.pools, {a.P_STATIONS: pool_stations, a.P_STATIONS_END: pool_stations, a.P_QUEUE: queues}
        ),
        a.F_LOTS: _moved(tables.lots, {a.L_WAITERS: waiters, a.L_WAITERS_END: waiters}),
        a.F_LOADS: tables.under_way,
        a.F_RETURNS: tables.returns,
        a.F_ARRIVALS: tables.arrivals,
        a.F_CREWS: tables.crews,
        a.F_PRESENCES: tables.presences,
        a.F_CALENDARS: _calendars(hours, fixed[a.F_SPANS]),
    }
    for place, rows in moved.items():
        put_rows(fixed, place, rows)
    for place, counted in _COUNTED.items():
        fixed[place] = len(moved[counted])
    fixed[a.F_RECEIVING], fixed[a.F_NOW], fixed[a.F_PEOPLE] = days.receiving, tables.now, tables.people
    return fixed, length


def _calendars(hours: Hours, spans: int) -> list[list[int]]:
    """Return the rows of the calendars, told where the spans begin."""
    return [
        [spans + first * a.SPAN_COLUMNS, spans + end * a.SPAN_COLUMNS, whole] for first, end, whole in hours.calendars
    ]


def put_rows(fixed: list[int], place: int, rows: Iterable[Sequence[int]]) -> None:
    """Put rows behind what is there, and note at ``place`` where they begin."""
    fixed[place] = len(fixed)
    for row in rows:
        fixed += row


_COUNTED: Final = {
    a.F_OPS_COUNT: a.F_OPS,
    a.F_STATIONS_COUNT: a.F_STATIONS,
    a.F_POOLS_COUNT: a.F_POOLS,
    a.F_LOTS_COUNT: a.F_LOTS,
    a.F_LOADS_COUNT: a.F_LOADS,
    a.F_RETURNS_COUNT: a.F_RETURNS,
    a.F_CREWS_COUNT: a.F_CREWS,
    a.F_CALENDARS_COUNT: a.F_CALENDARS,
}


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
        a.F_RANKS: ops,
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


def _append(fixed: list[int], *columns: Sequence[int]) -> list[int]:
    """Put columns behind what is there and return where each begins."""
    places = []
    for column in columns:
        places.append(len(fixed))
        fixed += column
    return places


def _moved(rows: Iterable[list[int]], moves: dict[int, int]) -> list[list[int]]:
    """Return rows whose places in another part count from the beginning of the array."""
    moved = []
    for row in rows:
        copy = list(row)
        for column, by in moves.items():
            copy[column] += by
        moved.append(copy)
    return moved
