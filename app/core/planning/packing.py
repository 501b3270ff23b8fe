"""From the dataclasses of a shop to arrays, and what keeps lots from being planned, told before anything is planned."""

from dataclasses import dataclass

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.planning import arrays as a
from app.core.planning.checks import lot_fault, operation_fault
from app.core.planning.flattening import Tables
from app.core.planning.layout import DAY_S, Layout, days_of, no_days, until_closed
from app.core.planning.obstacles import Obstacle, ObstacleKind, Trouble
from app.core.planning.packer import Packer, block, note
from app.core.planning.packing_present import loads_under_way
from app.core.planning.placing import find_pool, pools_of
from app.core.planning.presence import Presences
from app.core.planning.takings import KINDS, pack_station_figures, pack_taking
from app.core.planning.unfinished import never_finished, waited_for
from app.core.shop import Lot, OpenJob, Operation, OverClosed, Shop, Station, rank
from app.core.taking import LeadTime, Purchase


@dataclass(slots=True)
class Packing:
    """A shop as arrays, and what they stand for.

    Attributes:
        shop: the shop.
        lots: in the order of their ranks, as the arrays have them.
        operations: (lot, place in the lot) of each operation of the arrays.
        troubles: of each lot, what is known before planning.
        tables: what the arrays are made from.
        if_left_over: operations that some station can do only while it is set up for them, or its people are there
            only for a time, and what to tell of each that is left over.
    """

    shop: Shop
    lots: tuple[Lot, ...]
    operations: list[tuple[int, int]]
    troubles: list[list[Trouble]]
    tables: Tables
    if_left_over: dict[int, ObstacleKind]

    def operation(self, op: int) -> Operation:
        """Return an operation by its place in the arrays."""
        lot, index = self.operations[op]
        return self.lots[lot].operations[index]


def pack(shop: Shop, days: int) -> Packing:
    """Return a shop as arrays whose calendars are laid out for so many days.

    What waits for a lot that is known never to be finished lets no pieces through, so that nothing behind it counts on
    them; it is packed once more where there is any.
    """
    lots, layout = tuple(sorted(shop.lots, key=rank)), Layout(shop, days)
    packer = _packed(Packer(shop, layout, lots, [[] for _ in lots]))
    never = never_finished(packer)
    if never:
        packer = _packed(Packer(shop, layout, lots, [[] for _ in lots], never=never))
    return _packing(packer)


def _packed(packer: Packer) -> Packer:
    """Return a packer with the rows of its stations, its people and its lots."""
    for station in packer.shop.stations:
        _pack_station(packer, station)
    packer.presence_rows = _pack_presences(packer)
    for place in range(len(packer.lots)):
        _pack_lot(packer, place)
    return packer


def _packing(packer: Packer) -> Packing:
    """Return what has been packed."""
    shop = packer.shop
    waiters, waiter_rows = _components(packer)
    for row, (first, last) in zip(packer.lot_rows, waiter_rows, strict=True):
        row[a.L_WAITERS], row[a.L_WAITERS_END] = first, last
    pools, pool_stations, station_pools = pools_of(packer)
    away = any(row[a.O_KIND] == a.LEAD for row in packer.ops)
    tables = Tables(
        now=shop.now,
        days=days_of(shop, packer.layout) if away else no_days(packer.layout),
        crews=[[packer.layout.plain(c.calendar), c.setters, c.tenders] for c in shop.people or ()],
        presences=packer.presence_rows,
        hours=packer.layout.arrays(),
        ops=packer.ops,
        stations=packer.stations,
        pools=pools,
        lots=packer.lot_rows,
        pool_stations=pool_stations,
        station_pools=station_pools,
        waiters=waiters,
        under_way=loads_under_way(packer),
        returns=packer.returns,
        arrivals=packer.arrivals,
        people=int(shop.people is not None),
    )
    return Packing(shop, packer.lots, packer.operations, packer.troubles, tables, packer.if_left_over)


def _pack_station(packer: Packer, station: Station) -> None:
    at = len(packer.stations)
    packer.places[station.key] = at
    packer.by_work_center.setdefault(station.work_center, []).append(at)
    row = [0] * a.STATION_COLUMNS
    row[a.S_ATTENDED], row[a.S_RUNNING] = packer.layout.attended(station), packer.layout.running(station)
    pack_station_figures(row, station)
    row[a.S_FAMILY], row[a.S_FIXTURE] = packer.name(station.set_up_for), packer.name(station.set_up_fixture)
    packer.stations.append(row)
    spans = packer.layout.spans(row[a.S_ATTENDED])
    packer.longest[at] = max((span.end - span.start for span in spans), default=0)
    if station.over_closed is OverClosed.FIT:
        row[a.S_FIT] = max(1, packer.longest[at])


def _pack_presences(packer: Packer) -> list[list[int]]:
    """Return the rows of who is together at each station."""
    rows: list[list[int]] = []
    people, now = packer.shop.people, packer.shop.now
    found = Presences(packer.layout, people or ())
    for row in packer.stations:
        there = () if people is None else found.of(row[a.S_ATTENDED])
        packer.presences.append(there)
        packer.lasting.append(tuple(one for one in there if not one.gone))
        row[a.S_PRESENCES], row[a.S_PRESENCES_END] = len(rows), len(rows) + len(there)
        rows += [[one.setters, one.tenders, one.last - now, int(one.gone or packer.layout.longest)] for one in there]
    packer.some_leave = packer.lasting != packer.presences
    return rows


def _pack_lot(packer: Packer, place: int) -> None:
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
        inflow = _goes_on(packer, row, operation)
    lot_row = [0] * a.LOT_COLUMNS
    lot_row[a.L_FIRST], lot_row[a.L_LEFT] = first, inflow + int(bool(troubles))
    lot_row[a.L_RELEASE] = min(max(0, lot.released - packer.shop.now), HORIZON_S)
    lot_row[a.L_DUE] = a.FOREVER if lot.due is None else lot.due - packer.shop.now
    lot_row[a.L_WEIGHT] = lot.weight
    packer.lot_rows.append(lot_row)


def _goes_on(packer: Packer, row: list[int], operation: Operation) -> int:
    """Return how many pieces will leave an operation."""
    if not row[a.O_BLOCKED]:
        return row[a.O_LEFT] + row[a.O_COUNTED]
    comes_back = bool(packer.returns) and packer.returns[-1][0] == len(packer.ops) - 1
    begun = operation.in_work if row[a.O_POOL] >= 0 or comes_back else 0  # what is not begun stays
    return begun + row[a.O_COUNTED] if row[a.O_SEND] or row[a.O_KIND] == a.PURCHASE else 0


def _pack_pieces(packer: Packer, row: list[int], operation: Operation, inflow: int, index: int) -> None:
    """Pack an operation with its pieces."""
    todo = inflow + operation.waiting + operation.in_work
    row[a.O_LEFT], row[a.O_COUNTED], row[a.O_WAITING] = todo, operation.counted, operation.waiting
    row[a.O_WAITED] = operation.waited_s
    row[a.O_KIND] = KINDS[type(operation.taking)]
    if operation.held:
        note(packer, row, index, Obstacle(ObstacleKind.PIECES_HELD, operation.key, number=operation.held))
    if not todo:
        return
    row[a.O_SEND] = max(0, operation.send_ahead or 0)
    fault = operation_fault(operation, packer.places)
    if fault is not None:
        block(packer, row, index, fault)
        return
    _pack_figures(packer, row, operation)
    pack_taking(row, operation.taking)
    row[a.O_LIMIT] = min(row[a.O_ROOM], -(-todo // operation.split))
    if isinstance(operation.taking, Purchase):
        _expect_blanks(packer, row, operation, operation.taking, index)
    elif isinstance(operation.taking, LeadTime):
        _expect_back(packer, row, operation, operation.taking, index)
    else:
        find_pool(packer, row, operation, index)
    if todo > operation.in_work and not row[a.O_BLOCKED]:
        _wait_for_others(packer, row, operation, index)


def _wait_for_others(packer: Packer, row: list[int], operation: Operation, index: int) -> None:
    """Note what pieces that are not begun wait for in vain: what nobody expects in time, or what is never finished."""
    missing = operation.not_before
    if missing is not None and missing.time is None:
        block(packer, row, index, Obstacle(ObstacleKind.COMPONENT_MISSING, operation.key, missing.what))
    elif operation.components:
        _wait_for_lots(packer, row, operation, index)
    if row[a.O_NOT_BEFORE] > HORIZON_S and not row[a.O_BLOCKED]:
        block(packer, row, index, Obstacle(ObstacleKind.TOO_FAR_AHEAD, operation.key))


def _wait_for_lots(packer: Packer, row: list[int], operation: Operation, index: int) -> None:
    """Note that an operation waits for lots, and which of them are never finished."""
    lot_key = packer.lots[row[a.O_LOT]].key
    packer.waits.setdefault(lot_key, []).extend(operation.components)
    obstacle = waited_for(packer, lot_key, operation)
    if obstacle is not None:
        block(packer, row, index, obstacle)


def _pack_figures(packer: Packer, row: list[int], operation: Operation) -> None:
    """Pack what every way of taking pieces has."""
    fixture_setup_s = operation.fixture_setup_s
    row[a.O_SETUP], row[a.O_FAMILY] = operation.setup_s, packer.name(operation.family)
    row[a.O_FIXTURE] = packer.name(operation.fixture)
    row[a.O_FIXTURE_SETUP] = operation.setup_s if fixture_setup_s is None else fixture_setup_s
    row[a.O_TEND] = operation.tend_permille
    released = 0 if row[a.O_KIND] == a.PURCHASE else packer.lots[row[a.O_LOT]].released - packer.shop.now
    missing = operation.not_before.time if operation.not_before else None
    row[a.O_NOT_BEFORE] = max(0, released, 0 if missing is None else missing - packer.shop.now)


def _expect_blanks(packer: Packer, row: list[int], operation: Operation, purchase: Purchase, index: int) -> None:
    """Count on the blanks that are expected and note those that are not."""
    row[a.O_WAITING] += operation.in_work
    row[a.O_ARRIVALS] = len(packer.arrivals)
    for each in sorted(purchase.arrivals, key=lambda one: one.time):
        time = max(0, each.time - packer.shop.now)
        comes = each.pieces if time <= HORIZON_S else 0
        packer.arrivals.append([len(packer.ops) - 1, comes, min(time, HORIZON_S), int(each.guess)])
    row[a.O_ARRIVALS_END] = len(packer.arrivals)
    missing = max(0, row[a.O_LEFT] - sum(arrival.pieces for arrival in purchase.arrivals))
    if missing:
        note(packer, row, index, Obstacle(ObstacleKind.BLANKS_NOT_ORDERED, operation.key, number=missing))
    come = sum(arrival[1] for arrival in packer.arrivals[row[a.O_ARRIVALS] :])
    late = row[a.O_LEFT] - missing - come
    if late > 0:
        note(packer, row, index, Obstacle(ObstacleKind.BLANKS_TOO_LATE, operation.key, number=late))
    row[a.O_LEFT] = min(row[a.O_LEFT], come)


def _expect_back(packer: Packer, row: list[int], operation: Operation, taking: LeadTime, index: int) -> None:
    """Note when pieces that are outside come back; overdue ones are guessed to come when the shop next opens."""
    if taking.days * DAY_S > HORIZON_S:
        block(packer, row, index, Obstacle(ObstacleKind.TOO_FAR_AHEAD, operation.key))
        return
    try:
        expected = [_back(packer.shop, job, taking) for job in operation.open_jobs]
    except NoOpenHoursError:
        block(packer, row, index, Obstacle(ObstacleKind.NO_RECEIVING, operation.key))
        return
    for job, (end, guess) in zip(operation.open_jobs, expected, strict=True):
        packer.returns.append([len(packer.ops) - 1, job.pieces, end - packer.shop.now, int(guess)])


def _back(shop: Shop, job: OpenJob, taking: LeadTime) -> tuple[int, bool]:
    """Return when pieces that were sent out come back, and whether that is a guess.

    Raises:
        NoOpenHoursError: the door is closed for good before.
    """
    now, receiving = shop.now, shop.receiving
    due = receiving.after_days(max(job.started_at, now - HORIZON_S), taking.days, working_days=taking.working_days)
    back = receiving.next_open(now) if due < now else due
    opens = receiving.spans(now, back + 1)
    if until_closed(opens, now) != opens:
        raise NoOpenHoursError("The door is closed for good before.")
    return back, due < now


def _components(packer: Packer) -> tuple[list[int], list[tuple[int, int]]]:
    """Return the operations that wait for lots, lot by lot; a key that is no lot of the shop counts as finished."""
    places = {lot.key: place for place, lot in enumerate(packer.lots)}
    waiting: list[list[int]] = [[] for _ in packer.lots]
    for op, (lot, index) in enumerate(packer.operations):
        components = packer.lots[lot].operations[index].components
        if not components:
            continue
        needed = {places[key] for key in components if key in places}
        packer.ops[op][a.O_COMPONENTS] = len(needed)
        for place in needed:
            waiting[place].append(op)
    flat: list[int] = []
    rows = []
    for ops in waiting:
        rows.append((len(flat), len(flat) + len(ops)))
        flat += ops
    return flat, rows
