"""Which stations can do an operation, and the pools of what the same stations can do."""

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from app.core.calendars import HORIZON_S
from app.core.planning import arrays as a
from app.core.planning.kernels.people import share
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.obstacles import Obstacle, ObstacleKind
from app.core.planning.packer import Packer, block
from app.core.planning.presence import Presence
from app.core.shop import Operation
from app.core.taking import Batch

LONGEST_MS: Final = HORIZON_S * 1000
_GOES_ON = {ObstacleKind.NEVER_FITS, ObstacleKind.NO_PERSON}
"""What keeps work from being begun, but not what is under way from going on."""


class _Need(NamedTuple):
    """What pieces of an operation need at a station: milliseconds of work, and thousandths of a person."""

    station: int
    work_ms: int
    tend: int


def find_pool(packer: Packer, row: list[int], operation: Operation, index: int) -> None:
    """Find the stations that can do an operation, or note why none can."""
    if operation.stations:
        able = [place for key, place in packer.places.items() if key in operation.stations]
    else:
        able = packer.by_work_center.get(operation.work_center, [])
    if not able:
        block(packer, row, index, _no_station(operation))
        return
    willing = _willing(packer, row, operation, index, able)
    if not willing:
        return
    recipe = -1
    if isinstance(operation.taking, Batch):
        recipe = packer.recipes.setdefault(operation.taking.recipe, len(packer.recipes))
    pool = packer.pools.setdefault((willing, recipe), len(packer.pools))
    if pool == len(packer.pool_sizes):
        packer.pool_sizes.append(0)
    packer.pool_sizes[pool] += 1
    row[a.O_POOL] = pool


def _willing(packer: Packer, row: list[int], operation: Operation, index: int, able: Sequence[int]) -> tuple[int, ...]:
    """Return the stations that could do an operation, or at least go on with what of it is under way."""
    to_begin = row[a.O_LEFT] - operation.in_work
    least, largest = _least_setup(row), max(1, min(to_begin, row[a.O_LIMIT]))
    needs = [_need(packer, row, place, largest) for place in able]
    hindrances = [_hindrance(packer, row, need, least, packer.presences) for need in needs]
    willing = tuple([place for place, kind in zip(able, hindrances, strict=True) if kind is None])
    if willing:
        if least < row[a.O_SETUP] or packer.some_leave:
            _note_if_left_over(packer, row, [need for need in needs if need.station in willing])
        return willing
    going_on = tuple([place for place, kind in zip(able, hindrances, strict=True) if kind in _GOES_ON])
    if not going_on or to_begin:
        block(packer, row, index, Obstacle(_least(hindrances), operation.key))
    return going_on


def _least_setup(row: list[int]) -> int:
    """Return the set-up of an operation behind what spares it most."""
    if row[a.O_FAMILY]:
        return 0
    return min(row[a.O_SETUP], row[a.O_FIXTURE_SETUP]) if row[a.O_FIXTURE] else row[a.O_SETUP]


def _note_if_left_over(packer: Packer, row: list[int], needs: Iterable[_Need]) -> None:
    """Note what to tell of an operation that is left over, where some station can do it only while it is set up for it.

    Or only until its people are gone.
    """
    hindrances = [_hindrance_at_last(packer, row, need) for need in needs]
    if not any(hindrances):
        return
    kind = ObstacleKind.TOO_FEW_HOURS if None in hindrances else _least(hindrances)
    told = ObstacleKind.SETUP_NEVER_FITS if kind is ObstacleKind.NEVER_FITS else kind
    packer.if_left_over[len(packer.ops) - 1] = told


def _hindrance_at_last(packer: Packer, row: list[int], need: _Need) -> ObstacleKind | None:
    """Return why a station could not go on doing an operation with all of its set-up; None where it could."""
    found = _hindrance(packer, row, need, row[a.O_SETUP], packer.lasting)
    if found is not ObstacleKind.NO_PERSON:
        return found
    own = packer.layout.plain(packer.shop.stations[need.station].calendar)
    return found if packer.layout.closed_from(own) is None else ObstacleKind.TOO_FEW_HOURS


def _need(packer: Packer, row: list[int], station: int, pieces: int) -> _Need:
    """Return what so many pieces of an operation need at a station."""
    pair = row + packer.stations[station]  # as the kernels want it: one behind the other
    work_ms = done_ms(pair, 0, a.OP_COLUMNS, pieces, pieces, -1)
    return _Need(station, work_ms, share(pair, 0, a.OP_COLUMNS))


def _hindrance(
    packer: Packer, row: list[int], need: _Need, setup: int, presences: Sequence[Sequence[Presence]]
) -> ObstacleKind | None:
    """Return why a station could never do an operation with so much set-up and such people; None where it could."""
    station = need.station
    longest = packer.longest[station]
    if longest == 0:
        return ObstacleKind.NO_OPENING
    if need.work_ms > LONGEST_MS or row[a.O_SETUP] > HORIZON_S:
        return ObstacleKind.TOO_FEW_HOURS
    long = setup + whole_seconds(need.work_ms) if packer.stations[station][a.S_FIT] else 0
    if long > longest:
        return ObstacleKind.NEVER_FITS
    if packer.shop.people is None:
        return None
    for one in presences[station]:
        if one.can(setup, need.tend, long):
            return None
    return ObstacleKind.NO_PERSON


def _least(hindrances: Iterable[ObstacleKind | None]) -> ObstacleKind:
    """Return the hindrance that is mended with least: people, then hours that fit, then more hours, then any at all."""
    order = (ObstacleKind.NO_PERSON, ObstacleKind.NEVER_FITS, ObstacleKind.TOO_FEW_HOURS, ObstacleKind.NO_OPENING)
    found = set(hindrances)
    return next(kind for kind in order if kind in found)


def _no_station(operation: Operation) -> Obstacle:
    """Say that there is no station for an operation, and where there should be."""
    if operation.stations:
        return Obstacle(ObstacleKind.NO_SUCH_STATION, operation.key, ", ".join(operation.stations))
    return Obstacle(ObstacleKind.EMPTY_WORK_CENTER, operation.key, operation.work_center)


def pools_of(packer: Packer) -> tuple[list[list[int]], list[int], list[int]]:
    """Return the pools, their stations, and the pools of each station."""
    rows, stations, before = [], list[int](), 0
    by_station: list[list[int]] = [[] for _ in packer.stations]
    for ((places, recipe), pool), size in zip(packer.pools.items(), packer.pool_sizes, strict=True):
        rows.append([0, len(stations), len(stations) + len(places), before + 1, recipe])
        stations += places
        before += 1 + size
        for place in places:
            by_station[place].append(pool)
    flat: list[int] = []
    for row, pools in zip(packer.stations, by_station, strict=True):
        row[a.S_POOLS], row[a.S_POOLS_END] = len(flat), len(flat) + len(pools)
        flat += pools
    return rows, stations, flat
