"""From the dataclasses of a shop to arrays, and what keeps lots from being planned, told before anything is planned."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Final

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.forecast.batches import batch_room
from app.core.forecast.build import rank
from app.core.forecast.checks import lot_fault, operation_fault
from app.core.forecast.obstacles import Obstacle, ObstacleKind, Trouble
from app.core.planning import arrays as a
from app.core.planning.flattening import Tables
from app.core.planning.kernels.people import share
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.layout import Layout, days_of, no_days
from app.core.shop import Lot, OpenJob, Operation, OverClosed, Shop, Station
from app.core.taking import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece

NO_BOUND: Final = 1 << 40
LONGEST_MS: Final = HORIZON_S * 1000


@dataclass(slots=True)
class Packing:
    """A shop as arrays, and what they stand for.

    Attributes:
        shop: the shop.
        lots: in the order of their ranks, as the arrays have them.
        operations: (lot, place in the lot) of each operation of the arrays.
        troubles: of each lot, what is known before planning.
        tables: what the arrays are made from.
    """

    shop: Shop
    lots: tuple[Lot, ...]
    operations: list[tuple[int, int]]
    troubles: list[list[Trouble]]
    tables: Tables

    def operation(self, op: int) -> Operation:
        """Return an operation by its place in the arrays."""
        lot, index = self.operations[op]
        return self.lots[lot].operations[index]


@dataclass(slots=True)
class _Packer:
    """What is being packed."""

    shop: Shop
    layout: Layout
    lots: tuple[Lot, ...]
    troubles: list[list[Trouble]]
    names: dict[str, int] = field(default_factory=dict)
    recipes: dict[str, int] = field(default_factory=dict)
    places: dict[str, int] = field(default_factory=dict)
    stations: list[list[int]] = field(default_factory=list)
    longest: dict[int, int] = field(default_factory=dict)
    by_work_center: dict[str, list[int]] = field(default_factory=dict)
    ops: list[list[int]] = field(default_factory=list)
    operations: list[tuple[int, int]] = field(default_factory=list)
    lot_rows: list[list[int]] = field(default_factory=list)
    arrivals: list[list[int]] = field(default_factory=list)
    returns: list[list[int]] = field(default_factory=list)
    pools: dict[tuple[tuple[int, ...], int], int] = field(default_factory=dict)
    pool_sizes: list[int] = field(default_factory=list)

    def name(self, text: str | None) -> int:
        """Return the number of a family or fixture; 0 for none."""
        return self.names.setdefault(text, len(self.names) + 1) if text else 0


def pack(shop: Shop, days: int) -> Packing:
    """Return a shop as arrays whose calendars are laid out for so many days."""
    lots = tuple(sorted(shop.lots, key=rank))
    packer = _Packer(shop, Layout(shop, days), lots, [[] for _ in lots])
    for station in shop.stations:
        _pack_station(packer, station)
    for place in range(len(lots)):
        _pack_lot(packer, place)
    waiters, waiter_rows = _components(packer)
    for row, (first, last) in zip(packer.lot_rows, waiter_rows, strict=True):
        row[a.L_WAITERS], row[a.L_WAITERS_END] = first, last
    pools, pool_stations, station_pools = _pools(packer)
    away = any(row[a.O_KIND] == a.LEAD for row in packer.ops)
    tables = Tables(
        now=shop.now,
        days=days_of(shop, packer.layout) if away else no_days(packer.layout),
        crews=[[packer.layout.plain(c.calendar), c.setters, c.tenders] for c in shop.people or ()],
        hours=packer.layout.arrays(),
        ops=packer.ops,
        stations=packer.stations,
        pools=pools,
        lots=packer.lot_rows,
        pool_stations=pool_stations,
        station_pools=station_pools,
        waiters=waiters,
        under_way=_under_way(packer),
        returns=packer.returns,
        arrivals=packer.arrivals,
        people=int(shop.people is not None),
    )
    return Packing(shop, lots, packer.operations, packer.troubles, tables)


def _pack_station(packer: _Packer, station: Station) -> None:
    at = len(packer.stations)
    packer.places[station.key] = at
    packer.by_work_center.setdefault(station.work_center, []).append(at)
    row = [0] * a.STATION_COLUMNS
    row[a.S_ATTENDED], row[a.S_RUNNING] = packer.layout.attended(station), packer.layout.running(station)
    row[a.S_PALLETS], row[a.S_CHANGE], row[a.S_PACE] = station.pallets, station.pallet_change_ms, station.pace
    row[a.S_FIT] = int(station.over_closed is OverClosed.FIT)
    row[a.S_FAMILY], row[a.S_FIXTURE] = packer.name(station.set_up_for), packer.name(station.set_up_fixture)
    packer.stations.append(row)
    spans = packer.layout.spans(row[a.S_ATTENDED])
    packer.longest[at] = max((span.end - span.start for span in spans), default=0)


def _pack_lot(packer: _Packer, place: int) -> None:
    """Pack the operations of a lot, each with the pieces that will reach it, and note what is in the way."""
    lot, troubles = packer.lots[place], packer.troubles[place]
    fault = lot_fault(lot) if lot.hold is None else Obstacle(ObstacleKind.LOT_HELD, what=lot.hold)
    if fault is not None:
        troubles.append(Trouble(0, fault))
    stopped, first, inflow = bool(troubles), len(packer.ops), 0
    for index, operation in enumerate(lot.operations):
        row = [0] * a.OP_COLUMNS
        row[a.O_LOT], row[a.O_POOL] = place, -1
        row[a.O_SETUP_FACTOR] = row[a.O_FACTOR] = a.AS_PLANNED
        row[a.O_NEXT] = len(packer.ops) + 1 if index + 1 < len(lot.operations) else -1
        packer.ops.append(row)
        packer.operations.append((place, index))
        if stopped:
            row[a.O_BLOCKED], row[a.O_KIND] = 1, a.SINGLE
            continue
        _pack_pieces(packer, row, operation, inflow, index)
        inflow = _goes_on(row, operation)
    lot_row = [0] * a.LOT_COLUMNS
    lot_row[a.L_FIRST], lot_row[a.L_LEFT] = first, inflow + int(bool(troubles))
    lot_row[a.L_RELEASE] = max(0, lot.released - packer.shop.now)
    lot_row[a.L_DUE] = a.FOREVER if lot.due is None else lot.due - packer.shop.now
    lot_row[a.L_WEIGHT] = lot.weight
    packer.lot_rows.append(lot_row)


def _goes_on(row: list[int], operation: Operation) -> int:
    """Return how many pieces will leave an operation."""
    if not row[a.O_BLOCKED]:
        return row[a.O_TODO] + row[a.O_COUNTED]
    under_way = row[a.O_POOL] >= 0  # only what is begun goes on
    return operation.in_work + row[a.O_COUNTED] if under_way and operation.send_ahead is not None else 0


def _pack_pieces(packer: _Packer, row: list[int], operation: Operation, inflow: int, index: int) -> None:
    """Pack an operation with its pieces."""
    todo = inflow + operation.waiting + operation.in_work
    row[a.O_TODO], row[a.O_COUNTED], row[a.O_WAITING] = todo, operation.counted, operation.waiting
    row[a.O_KIND] = _KINDS[type(operation.taking)]
    if operation.held:
        _note(packer, row, index, Obstacle(ObstacleKind.PIECES_HELD, operation.key, number=operation.held))
    if not todo:
        return
    fault = operation_fault(operation, packer.places)
    if fault is not None:
        _block(packer, row, index, fault)
        return
    _pack_figures(packer, row, operation)
    _pack_taking(row, operation, todo)
    if isinstance(operation.taking, Purchase):
        _expect_blanks(packer, row, operation, operation.taking, index)
    elif isinstance(operation.taking, LeadTime):
        _expect_back(packer, row, operation, operation.taking, index)
    else:
        _find_pool(packer, row, operation, index)
    missing = operation.not_before
    if missing is not None and missing.time is None and todo > operation.in_work and not row[a.O_BLOCKED]:
        _block(packer, row, index, Obstacle(ObstacleKind.COMPONENT_MISSING, operation.key, missing.what))


_KINDS: Final = {
    SinglePiece: a.SINGLE,
    PalletLoad: a.PALLET,
    Batch: a.BATCH,
    BarFed: a.BAR,
    LeadTime: a.LEAD,
    Purchase: a.PURCHASE,
}


def _pack_figures(packer: _Packer, row: list[int], operation: Operation) -> None:
    """Pack what every way of taking pieces has."""
    fixture_setup_s = operation.fixture_setup_s
    row[a.O_SETUP], row[a.O_FAMILY] = operation.setup_s, packer.name(operation.family)
    row[a.O_FIXTURE] = packer.name(operation.fixture)
    row[a.O_FIXTURE_SETUP] = operation.setup_s if fixture_setup_s is None else fixture_setup_s
    row[a.O_TEND], row[a.O_SEND] = operation.tend_permille, operation.send_ahead or 0
    released = 0 if row[a.O_KIND] == a.PURCHASE else packer.lots[row[a.O_LOT]].released - packer.shop.now
    missing = operation.not_before.time if operation.not_before else None
    row[a.O_NOT_BEFORE] = max(0, released, 0 if missing is None else missing - packer.shop.now)


def _pack_taking(row: list[int], operation: Operation, todo: int) -> None:
    """Pack how an operation takes its pieces."""
    taking = operation.taking
    row[a.O_ROOM], row[a.O_UNIT] = NO_BOUND, 1
    match taking:
        case SinglePiece():
            row[a.O_CYCLE] = taking.cycle_ms
        case PalletLoad():
            row[a.O_CYCLE], row[a.O_UNIT] = taking.cycle_ms, taking.pieces
            row[a.O_LOAD], row[a.O_UNLOAD] = taking.load_ms, taking.unload_ms
        case BarFed():
            row[a.O_CYCLE], row[a.O_UNIT] = taking.cycle_ms, taking.pieces_per_bar
            row[a.O_LOAD] = taking.bar_change_ms
        case Batch():
            room = batch_room(taking)
            row[a.O_CYCLE], row[a.O_ROOM] = taking.time_ms, NO_BOUND if room is None else room
            row[a.O_MAX_PIECES] = NO_BOUND if taking.max_pieces is None else taking.max_pieces
            row[a.O_MAX_WEIGHT] = NO_BOUND if taking.max_weight_g is None else taking.max_weight_g
            row[a.O_PIECE_WEIGHT], row[a.O_WAIT] = taking.piece_weight_g, taking.wait_s
        case LeadTime():
            row[a.O_DAYS], row[a.O_WORKING] = taking.days, int(taking.working_days)
        case Purchase():
            pass
    row[a.O_LIMIT] = min(row[a.O_ROOM], -(-todo // operation.split))


def _expect_blanks(packer: _Packer, row: list[int], operation: Operation, purchase: Purchase, index: int) -> None:
    """Count on the blanks that are expected and note those that are not."""
    row[a.O_WAITING] += operation.in_work
    row[a.O_ARRIVALS] = len(packer.arrivals)
    for each in sorted(purchase.arrivals, key=lambda one: one.time):
        packer.arrivals.append([len(packer.ops) - 1, each.pieces, max(0, each.time - packer.shop.now), int(each.guess)])
    row[a.O_ARRIVALS_END] = len(packer.arrivals)
    missing = row[a.O_TODO] - sum(arrival.pieces for arrival in purchase.arrivals)
    if missing > 0:
        row[a.O_TODO] -= missing
        _note(packer, row, index, Obstacle(ObstacleKind.BLANKS_NOT_ORDERED, operation.key, number=missing))


def _expect_back(packer: _Packer, row: list[int], operation: Operation, taking: LeadTime, index: int) -> None:
    """Note when pieces that are outside come back; overdue ones are guessed to come when the shop next opens."""
    now, receiving = packer.shop.now, packer.shop.receiving
    try:
        for job in operation.open_jobs:
            sent_at = max(job.started_at, now - HORIZON_S)
            back = receiving.after_days(sent_at, taking.days, working_days=taking.working_days)
            end = receiving.next_open(now) if back < now else back
            packer.returns.append([len(packer.ops) - 1, job.pieces, end - now, int(back < now)])
    except NoOpenHoursError:
        _block(packer, row, index, Obstacle(ObstacleKind.NO_RECEIVING, operation.key))


def _find_pool(packer: _Packer, row: list[int], operation: Operation, index: int) -> None:
    """Find the stations that can do an operation, or note why none can."""
    if operation.stations:
        able = [place for key, place in packer.places.items() if key in operation.stations]
    else:
        able = packer.by_work_center.get(operation.work_center, [])
    if not able:
        _block(packer, row, index, _no_station(operation))
        return
    willing = tuple(place for place in able if _holds(packer, row, place))
    if not willing:
        _block(packer, row, index, Obstacle(ObstacleKind.TOO_FEW_HOURS, operation.key))
        return
    recipe = -1
    if isinstance(operation.taking, Batch):
        recipe = packer.recipes.setdefault(operation.taking.recipe, len(packer.recipes))
    pool = packer.pools.setdefault((willing, recipe), len(packer.pools))
    if pool == len(packer.pool_sizes):
        packer.pool_sizes.append(0)
    packer.pool_sizes[pool] += 1
    row[a.O_POOL] = pool


def _holds(packer: _Packer, row: list[int], station: int) -> bool:
    """Tell whether a station could ever do the largest run of an operation."""
    where = packer.stations[station]
    pieces = min(row[a.O_TODO], row[a.O_LIMIT])
    pair = row + where  # as the kernels want it: one behind the other
    work_ms = done_ms(pair, 0, a.OP_COLUMNS, pieces, pieces, -1)
    if work_ms > LONGEST_MS or row[a.O_SETUP] > HORIZON_S or packer.longest[station] == 0:
        return False
    if where[a.S_FIT] and row[a.O_SETUP] + whole_seconds(work_ms) > packer.longest[station]:
        return False
    crews = packer.shop.people
    if crews is None:
        return True
    tend, setters = share(pair, 0, a.OP_COLUMNS), sum(crew.setters for crew in crews)
    return tend <= 1000 * sum(crew.tenders for crew in crews) and (setters > 0 or row[a.O_SETUP] == 0)


def _no_station(operation: Operation) -> Obstacle:
    """Say that there is no station for an operation, and where there should be."""
    if operation.stations:
        return Obstacle(ObstacleKind.NO_SUCH_STATION, operation.key, ", ".join(operation.stations))
    return Obstacle(ObstacleKind.EMPTY_WORK_CENTER, operation.key, operation.work_center)


def _block(packer: _Packer, row: list[int], index: int, obstacle: Obstacle) -> None:
    """Let the pieces of an operation go no further."""
    row[a.O_BLOCKED] = 1
    _note(packer, row, index, obstacle)


def _note(packer: _Packer, row: list[int], index: int, obstacle: Obstacle) -> None:
    packer.troubles[row[a.O_LOT]].append(Trouble(index, obstacle))


def _components(packer: _Packer) -> tuple[list[int], list[tuple[int, int]]]:
    """Return the operations that wait for lots, lot by lot; a key that is no lot of the shop counts as finished."""
    places = {lot.key: place for place, lot in enumerate(packer.lots)}
    waiting: list[list[int]] = [[] for _ in packer.lots]
    for op, (lot, index) in enumerate(packer.operations):
        needed = {places[key] for key in packer.lots[lot].operations[index].components if key in places}
        packer.ops[op][a.O_COMPONENTS] = len(needed)
        for place in needed:
            waiting[place].append(op)
    flat: list[int] = []
    rows = []
    for ops in waiting:
        rows.append((len(flat), len(flat) + len(ops)))
        flat += ops
    return flat, rows


def _pools(packer: _Packer) -> tuple[list[list[int]], list[int], list[int]]:
    """Return the pools, their stations, and the pools of each station."""
    rows, stations, heap = [], list[int](), 0
    by_station: list[list[int]] = [[] for _ in packer.stations]
    for ((places, recipe), pool), size in zip(packer.pools.items(), packer.pool_sizes, strict=True):
        rows.append([len(stations), len(stations) + len(places), heap, recipe])
        stations += places
        heap += size
        for place in places:
            by_station[place].append(pool)
    flat: list[int] = []
    for row, pools in zip(packer.stations, by_station, strict=True):
        row[a.S_POOLS], row[a.S_POOLS_END] = len(flat), len(flat) + len(pools)
        flat += pools
    return rows, stations, flat


def _under_way(packer: _Packer) -> list[list[int]]:
    """Return the open jobs at stations, load by load, those of each station in the order in which they were started."""
    loads: dict[tuple[int, object], list[tuple[int, OpenJob]]] = {}
    for op, (lot, index) in enumerate(packer.operations):
        if packer.ops[op][a.O_POOL] >= 0:
            for job in packer.lots[lot].operations[index].open_jobs:
                station = packer.places[job.station]
                loads.setdefault((station, job.load or object()), []).append((op, job))
    ordered = sorted(loads.items(), key=lambda item: (item[0][0], *_begun(item[1])))
    rows: list[list[int]] = []
    for _, by_station in groupby(ordered, key=lambda item: item[0][0]):
        for (station, _), jobs in by_station:
            rows += _load_rows(packer, station, jobs, len(rows))
    return rows


def _begun(load: Sequence[tuple[int, OpenJob]]) -> tuple[int, int]:
    """Return what open loads are ordered by: their start, then the best rank in them."""
    return min(job.started_at for _, job in load), min(op for op, _ in load)


def _load_rows(packer: _Packer, station: int, jobs: Iterable[tuple[int, OpenJob]], first: int) -> list[list[int]]:
    """Return the rows of one load under way."""
    together = list(jobs)
    now, calendar = packer.shop.now, packer.shop.stations[station].calendar
    rows = []
    for op, job in together:
        row = packer.ops[op]
        spent = job.worked_s
        if spent is None:
            spent = calendar.work_between(max(job.started_at, now - HORIZON_S), now)
        setup = row[a.O_SETUP] if job.in_setup else 0
        pair = row + packer.stations[station]
        work = whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, job.pieces, job.pieces, -1))
        setup_left = max(0, setup - spent)
        left = max(0, setup + work - spent)
        done = max(0, spent - setup)
        rows.append([op, station, job.pieces, setup_left, left - setup_left, done, first, int(len(together) == 1)])
    return rows
