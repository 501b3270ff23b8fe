"""Operations that need no station: blanks on order and work done elsewhere."""

from collections.abc import Iterator

from app.core.calendars import NoOpenHoursError
from app.core.forecast.board import Board, Job, Slot, give_up, make_run
from app.core.forecast.flow import Transfer, pass_on
from app.core.forecast.obstacles import ObstacleKind
from app.core.shop import Arrival, LeadTime, Purchase


def go_outside(board: Board, job: Job) -> None:
    """Plan a job that needs no station; it starts as soon as it is ready."""
    taking = job.task.operation.taking
    if isinstance(taking, Purchase):
        _await_blanks(board, job, taking)
    elif isinstance(taking, LeadTime):
        send_out(board, job, taking, job.ready)


def send_out(board: Board, job: Job, taking: LeadTime, sent_at: int) -> None:
    """Plan the return of pieces sent out at ``sent_at``; overdue ones are guessed to come when the shop next opens."""
    receiving = board.shop.receiving
    try:
        back = receiving.after_days(sent_at, taking.days, working_days=taking.working_days)
        overdue = back < job.ready
        end = receiving.next_open(job.ready) if overdue else back
    except NoOpenHoursError:
        give_up(job.task, ObstacleKind.NO_RECEIVING)
        return
    run = make_run(job, job.pieces, Slot(None, job.ready, end), board.next_serial(), guess=overdue)
    ahead = job.task.operation.send_ahead is not None
    pass_on(board, job.task, run, [Transfer(end, run.pieces)] if ahead else None)


def _await_blanks(board: Board, job: Job, purchase: Purchase) -> None:
    """Plan the deliveries that bring the job's blanks; each goes on by itself."""
    bought = sum(run.pieces for run in job.task.runs)
    for arrival in _arrivals(purchase, bought, job.pieces):
        slot = Slot(None, job.ready, max(job.ready, arrival.time))
        run = make_run(job, arrival.pieces, slot, board.next_serial(), guess=arrival.guess)
        pass_on(board, job.task, run, [Transfer(run.end, run.pieces)])


def _arrivals(purchase: Purchase, skip: int, pieces: int) -> Iterator[Arrival]:
    """Yield what brings ``pieces`` once ``skip`` pieces have come, in order of time."""
    for arrival in sorted(purchase.arrivals, key=lambda one: one.time):
        taken = min(max(0, arrival.pieces - skip), pieces)
        skip = max(0, skip - arrival.pieces)
        if taken:
            yield Arrival(arrival.time, taken, arrival.guess)
        pieces -= taken
