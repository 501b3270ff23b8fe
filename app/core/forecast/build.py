"""From the dataclasses of a shop to the board of a forecast."""

from app.core.forecast.board import Bench, Board, Journey, Task, pool_for
from app.core.forecast.checks import lot_fault, operation_fault, trouble
from app.core.forecast.results import Status
from app.core.shop import LeadTime, Lot, Operation, Purchase, Shop


def build(shop: Shop) -> Board:
    """Return the board with every lot in the order of ranks, each operation with the pieces that will reach it."""
    benches = {s.key: Bench(s, index, s.set_up_for) for index, s in enumerate(shop.stations)}
    by_work_center: dict[str, tuple[Bench, ...]] = {}
    for bench in benches.values():
        center = bench.station.work_center
        by_work_center[center] = (*by_work_center.get(center, ()), bench)
    board = Board(shop, benches, by_work_center)
    lots = sorted(shop.lots, key=rank)
    stride = max((len(lot.operations) for lot in lots), default=0)
    for place, lot in enumerate(lots):
        journey = Journey(lot)
        board.journeys.append(journey)
        for index, operation in enumerate(lot.operations):
            journey.tasks.append(
                Task(journey, index, operation, priority=place * stride + index, done=operation.counted)
            )
        _plan_pieces(board, journey)
    return board


def rank(lot: Lot) -> tuple[object, ...]:
    """Return what the lots are ordered by; the key decides between equals, so that the order of input never does."""
    pin = (0, lot.pinned) if lot.pinned is not None else (1, 0)
    due = (0, lot.due) if lot.due is not None else (1, 0)
    return (*pin, not lot.rush, *due, lot.released, lot.number, lot.key)


def _plan_pieces(board: Board, journey: Journey) -> None:
    """Give each task the pieces it will have to do and note what keeps any of them from being planned."""
    fault = lot_fault(journey.lot)
    if journey.lot.hold is not None:
        hold = journey.lot.hold.rstrip(". ")
        journey.troubles.append(trouble(Status.HELD, 0, f"On hold: {hold}." if hold else "On hold."))
    elif fault is not None:
        journey.troubles.append(trouble(Status.BAD_INPUT, 0, fault))
    if journey.troubles:
        journey.tasks.clear()
    inflow = 0
    for task in journey.tasks:
        operation = task.operation
        task.todo = inflow + operation.waiting + operation.in_work
        if task.todo:
            _find_place(board, task)
        if operation.held:
            reason = f"Operation {operation.key}: {operation.held} pieces are on hold."
            journey.troubles.append(trouble(Status.HELD, task.index, reason))
        inflow = 0 if task.blocked else task.todo + task.done


def _find_place(board: Board, task: Task) -> None:
    """Find the stations of a task, or note why its pieces can go no further."""
    operation = task.operation
    fault = operation_fault(operation, board.benches)
    if fault is not None:
        _block(task, Status.BAD_INPUT, fault)
    elif isinstance(operation.taking, Purchase):
        _expect_blanks(task, operation.taking)
    elif not isinstance(operation.taking, LeadTime):
        benches = _benches_for(board, operation)
        if benches:
            task.pool = pool_for(board, benches, operation.taking)
        else:
            where = f"of {', '.join(operation.stations)}" if operation.stations else f"in {operation.work_center}"
            _block(task, Status.NO_STATION, f"Operation {operation.key}: there is no station {where}.")


def _benches_for(board: Board, operation: Operation) -> tuple[Bench, ...]:
    """Return the stations that can do an operation: the ones it names, or those of its work center."""
    if operation.stations:
        return tuple(bench for bench in board.benches.values() if bench.station.key in operation.stations)
    return board.by_work_center.get(operation.work_center, ())


def _expect_blanks(task: Task, purchase: Purchase) -> None:
    """Count on the blanks that are expected and note those that are not."""
    missing = task.todo - sum(arrival.pieces for arrival in purchase.arrivals)
    if missing > 0:
        task.todo -= missing
        reason = f"Operation {task.operation.key}: {missing} blanks are not on order."
        task.journey.troubles.append(trouble(Status.NO_BLANKS, task.index, reason))


def _block(task: Task, status: Status, reason: str) -> None:
    """Let the pieces of a task go no further."""
    task.blocked = True
    task.journey.troubles.append(trouble(status, task.index, reason))
