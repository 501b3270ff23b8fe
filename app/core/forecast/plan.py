"""Making a forecast: set the board up, let it play, read the result off it."""

from app.core.calendars import HORIZON_S
from app.core.forecast.board import Board, Job, Journey, Task
from app.core.forecast.build import build
from app.core.forecast.chains import chain
from app.core.forecast.dispatch import play
from app.core.forecast.flow import Transfer, arrive, leave
from app.core.forecast.obstacles import Status
from app.core.forecast.outside import send_out
from app.core.forecast.results import Forecast, LotForecast, OperationForecast
from app.core.forecast.under_way import resume
from app.core.shop import LeadTime, Purchase, Shop


def forecast(shop: Shop) -> Forecast:
    """Return when every operation of every lot will run, and when each lot will be done, if nothing changes.

    A free station takes the waiting operation with the lowest rank of its lot (see Lot), so the plan is what people
    who keep to that rule would do, not the best there is. It depends on nothing but ``shop``: the same shop, with its
    lots in any order, gives the same forecast. A lot that cannot be planned to its end has a status and its obstacle;
    what can be done of it is planned, and so are the other lots.
    """
    board = build(shop)
    set_going(board)
    play(board)
    return Forecast(
        now=shop.now,
        lots={journey.lot.key: lot_forecast(board, journey) for journey in board.journeys},
        stations={key: tuple(bench.runs) for key, bench in board.benches.items()},
    )


def set_going(board: Board) -> None:
    """Put the present on the board: what is counted, under way, outside and waiting."""
    tasks = [task for journey in board.journeys for task in journey.tasks]
    for task in tasks:
        _let_counted_go(board, task)
    resume(board)
    for task in tasks:
        if not task.blocked:
            _let_waiting_in(board, task)


def lot_forecast(board: Board, journey: Journey) -> LotForecast:
    """Return what the board says of a lot once nothing more happens on it."""
    planned = {task.operation.key: tuple(sorted(task.runs, key=lambda run: run.start)) for task in journey.tasks}
    operations = tuple(OperationForecast(one.key, planned.get(one.key, ())) for one in journey.lot.operations)
    if journey.troubles:
        worst = min(journey.troubles, key=lambda trouble: trouble.rank).obstacle
        return LotForecast(journey.lot.key, worst.status, worst, None, journey.finish, operations)
    finish = board.shop.now if journey.finish is None else journey.finish
    reasons = chain(board, journey)
    return LotForecast(journey.lot.key, Status.PLANNED, None, finish, finish, operations, reasons)


def _let_counted_go(board: Board, task: Task) -> None:
    """Move counted pieces on now, unless they go with the others of their operation."""
    if task.done and (task.todo == 0 or task.operation.send_ahead is not None):
        pieces, task.done = task.done, 0
        leave(board, task, [Transfer(board.shop.now, pieces)], None)


def _let_waiting_in(board: Board, task: Task) -> None:
    """Let the pieces that wait at a task begin, and those that are outside come back."""
    now, operation, taking = board.shop.now, task.operation, task.operation.taking
    waiting = operation.waiting
    if isinstance(taking, LeadTime):
        for job in operation.open_jobs:
            send_out(board, Job(task, job.pieces, now, now, None), taking, max(job.started_at, now - HORIZON_S))
    elif isinstance(taking, Purchase):
        waiting += operation.in_work
    if waiting:
        arrive(board, task, [Transfer(now, waiting)], None)
