"""Which stations can do an operation, and the pools of what the same stations can do."""

from collections.abc import Iterable, Sequence
from typing import Final

from app.core.calendars import HORIZON_S
from app.core.planning import arrays as a
from app.core.planning.kernels.people import share
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.obstacles import Obstacle, ObstacleKind
from app.core.planning.packer import Packer, block
from app.core.shop import Operation
from app.core.taking import Batch

LONGEST_MS: Final = HORIZON_S * 1000
_GOES_ON = {ObstacleKind.NEVER_FITS, ObstacleKind.NO_PERSON}
"""What keeps work from being begun, but not what is under way from going on."""


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
    hindrances = [_hindrance(packer, row, place, largest, least) for place in able]
    willing = tuple([place for place, kind in zip(able, hindrances, strict=True) if kind is None])
    if willing:
        if least < row[a.O_SETUP] or packer.presences != packer.lasting:
            _note_if_left_over(packer, row, largest, willing)
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


def _note_if_left_over(packer: Packer, row: list[int], largest: int, willing: Iterable[int]) -> None:
    """Note what to tell of an operation that is left over, where some station can do it only while it is set up for it.

    Or only until its people are gone.
    """
    hindrances = [_hindrance(packer, row, place, largest, row[a.O_SETUP], lasting=True) for place in willing]
    if not any(hindrances):
        return
    kind = ObstacleKind.TOO_FEW_HOURS if None in hindrances else _least(hindrances)
    told = ObstacleKind.SETUP_NEVER_FITS if kind is ObstacleKind.NEVER_FITS else kind
    packer.if_left_over[len(packer.ops) - 1] = told


def _hindrance(
    packer: Packer, row: list[int], station: int, pieces: int, setup: int, *, lasting: bool = False
) -> ObstacleKind | None:
    """Return why a station could never do so many pieces of an operation with so much set-up; None where it could.

    Only people who go on coming count where that is asked for.
    """
    if packer.longest[station] == 0:
        return ObstacleKind.NO_OPENING
    where = packer.stations[station]
    pair = row + where  # as the kernels want it: one behind the other
    work_ms = done_ms(pair, 0, a.OP_COLUMNS, pieces, pieces, -1)
    if work_ms > LONGEST_MS or row[a.O_SETUP] > HORIZON_S:
        return ObstacleKind.TOO_FEW_HOURS
    long = setup + whole_seconds(work_ms) if where[a.S_FIT] else 0
    if long > packer.longest[station]:
        return ObstacleKind.NEVER_FITS
    if packer.shop.people is None:
        return None
    tend = share(pair, 0, a.OP_COLUMNS)
    for one in packer.lasting[station] if lasting else packer.presences[station]:
        if one.can(setup, tend, long):
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
