"""How pieces move from operation to operation: all at an operation's end, or ahead in transfers."""

from collections.abc import Iterator
from typing import NamedTuple

from app.core.calendars import NoOpenHoursError
from app.core.forecast.batches import batch_room
from app.core.forecast.board import Bench, Board, Event, Job, Task, announce, give_up
from app.core.forecast.obstacles import ObstacleKind
from app.core.forecast.results import Run
from app.core.forecast.takings import done_ms, seconds, taken_up_ms
from app.core.shop import Batch, Operation, Station, Taking


class Transfer(NamedTuple):
    """``pieces`` that reach the next operation at ``time``."""

    time: int
    pieces: int


def arrive(board: Board, task: Task, transfers: list[Transfer], after: Run | None) -> None:
    """Let pieces reach a task, where they wait once a run of all of them would not run dry.

    ``transfers`` are ascending; all come from the run ``after``, or were there from the start.
    """
    if task.blocked or task.starved:
        return
    for group in _groups(task.operation.taking, transfers):
        arrived = _from_when(task, group)
        missing = task.operation.not_before
        ready = arrived if missing is None or missing.time is None else max(arrived, missing.time)
        pieces = sum(transfer.pieces for transfer in group)
        if ready > board.horizon:
            give_up(task, ObstacleKind.TOO_FAR_AHEAD)
        else:
            announce(board, ready, Event.READY, Job(task, pieces, arrived, ready, after))


def pass_on(board: Board, task: Task, run: Run, transfers: list[Transfer] | None) -> None:
    """Record a run of a task and move its pieces on: as the transfers say, or all when the task's last run ends."""
    task.runs.append(run)
    task.todo -= run.pieces
    if transfers is not None:
        leave(board, task, transfers, run)
        return
    task.done += run.pieces
    if task.todo == 0:
        last = max(task.runs, key=lambda one: one.end)
        leave(board, task, [Transfer(last.end, task.done)], last)


def leave(board: Board, task: Task, transfers: list[Transfer], after: Run | None) -> None:
    """Let pieces leave a task for the next one, or for good after the last."""
    journey, end = task.journey, transfers[-1].time
    if task.index + 1 < len(journey.tasks):
        arrive(board, journey.tasks[task.index + 1], transfers, after)
    elif journey.finish is None or end > journey.finish:
        journey.finish, journey.last_run = end, after


def sent_ahead(operation: Operation, bench: Bench, run: Run, lead_s: int) -> list[Transfer] | None:
    """Return the transfers of a run at a station; None when its pieces move on at the end of the operation.

    ``lead_s`` open seconds after the run's start its first piece is taken up; below zero for a run under way.
    """
    step = operation.send_ahead
    if step is None:
        return None
    transfers = []
    for before in range(0, run.pieces, step):
        done = min(before + step, run.pieces)
        work = lead_s + seconds(done_ms(operation.taking, bench.station, done, run.pieces))
        transfers.append(Transfer(bench.station.calendar.finish(run.start, max(work, 0)), done - before))
    return transfers


def _groups(taking: Taking, transfers: list[Transfer]) -> Iterator[list[Transfer]]:
    """Yield the transfers that one run can take together; a batch takes only what is there when it starts."""
    room = batch_room(taking) if isinstance(taking, Batch) else None
    group: list[Transfer] = []
    for transfer in transfers:
        group.append(transfer)
        if room is not None and sum(one.pieces for one in group) >= room:
            yield group
            group = []
    if group:
        yield group


def _from_when(task: Task, transfers: list[Transfer]) -> int:
    """Return from when on a run of the transfers' pieces would find each piece there, whichever station takes it.

    Reckoned without set-up, which would only give the pieces more time. Where stations differ the latest counts.
    """
    if len(transfers) == 1 or task.pool is None or task.pool.recipe is not None:
        return transfers[-1].time
    stations = (bench.station for bench in task.pool.benches)
    return max(_runs_through_from(task.operation.taking, station, transfers) for station in stations)


def _runs_through_from(taking: Taking, station: Station, transfers: list[Transfer]) -> int:
    """Return the earliest start at which ``station`` never waits for a transfer."""
    first, calendar = transfers[0].time, station.calendar
    short = before = 0
    try:
        for time, pieces in transfers:
            work = taken_up_ms(taking, station, before) // 1000
            short = max(short, calendar.work_between(first, time) - work)
            before += pieces
        return calendar.finish(first, short)
    except NoOpenHoursError:
        return transfers[-1].time
