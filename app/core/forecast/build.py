"""From the dataclasses of a shop to the board of a forecast."""

from app.core.forecast.board import Bench, Board, Journey, Task, note, pool_for
from app.core.forecast.checks import lot_fault, operation_fault
from app.core.forecast.obstacles import Obstacle, ObstacleKind, Trouble
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
        journey.troubles.append(Trouble(0, Obstacle(ObstacleKind.LOT_HELD, what=journey.lot.hold)))
    elif fault is not None:
        journey.troubles.append(Trouble(0, fault))
    if journey.troubles:
        journey.tasks.clear()
    inflow = 0
    for task in journey.tasks:
        operation = task.operation
        task.todo = inflow + operation.waiting + operation.in_work
        if task.todo:
            _find_place(board, task)
            _miss_components(task)
        if operation.held:
            note(task, Obstacle(ObstacleKind.PIECES_HELD, operation.key, number=operation.held))
        inflow = _goes_on(task)


def _goes_on(task: Task) -> int:
    """Return how many pieces leave a task."""
    if task.starved:
        return task.operation.in_work + task.done if task.operation.send_ahead is not None else 0
    return 0 if task.blocked else task.todo + task.done


def _find_place(board: Board, task: Task) -> None:
    """Find the stations of a task, or note why its pieces can go no further."""
    operation = task.operation
    fault = operation_fault(operation, board.benches)
    if fault is not None:
        _block(task, fault)
    elif isinstance(operation.taking, Purchase):
        _expect_blanks(task, operation.taking)
    elif not isinstance(operation.taking, LeadTime):
        benches = _benches_for(board, operation)
        if benches:
            task.pool = pool_for(board, benches, operation.taking)
        else:
            _block(task, _no_bench(operation))


def _no_bench(operation: Operation) -> Obstacle:
    """Say that there is no station for an operation, and where there should be."""
    if operation.stations:
        return Obstacle(ObstacleKind.NO_SUCH_STATION, operation.key, ", ".join(operation.stations))
    return Obstacle(ObstacleKind.EMPTY_WORK_CENTER, operation.key, operation.work_center)


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
        note(task, Obstacle(ObstacleKind.BLANKS_NOT_ORDERED, task.operation.key, number=missing))


def _miss_components(task: Task) -> None:
    """Leave what is not begun out of the plan where nobody knows when what it takes will be there."""
    missing = task.operation.not_before
    if missing is not None and missing.time is None and task.todo > task.operation.in_work and not task.blocked:
        task.starved = True
        note(task, Obstacle(ObstacleKind.COMPONENT_MISSING, task.operation.key, missing.what))


def _block(task: Task, obstacle: Obstacle) -> None:
    """Let the pieces of a task go no further."""
    task.blocked = True
    note(task, obstacle)
