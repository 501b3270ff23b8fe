"""Jobs that are open at a station: they go on first, from now, with what is left of their work."""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.forecast.board import Bench, Board, Job, Load, Slot, Task, call, give_up, make_run
from app.core.forecast.flow import Transfer, pass_on, sent_ahead
from app.core.forecast.obstacles import ObstacleKind
from app.core.forecast.results import Run
from app.core.forecast.takings import run_seconds
from app.core.shop import OpenJob


class Opened(NamedTuple):
    """An open job and the open seconds it needs, in all and of them already spent."""

    task: Task
    job: OpenJob
    setup_s: int
    work_s: int
    spent_s: int

    @property
    def left_s(self) -> int:
        """Open seconds still to go; none when it should be done by now."""
        return max(0, self.setup_s + self.work_s - self.spent_s)


def resume(board: Board) -> None:
    """Plan the open jobs of every station one after another, in the order in which they were started.

    Two jobs open at a station at once (on two pallets) take turns at its one spindle: the end of both is right, that of
    the first may be a little early.
    """
    by_station: dict[str, dict[object, list[Opened]]] = {}
    for opened in _open_jobs(board):
        loads = by_station.setdefault(opened.job.station, {})
        loads.setdefault(opened.job.load or object(), []).append(opened)
    for station, loads in by_station.items():
        bench, at = board.benches[station], board.shop.now
        for load in sorted(loads.values(), key=_begun):
            at = _resume_load(board, bench, load, at)
        call(board, bench, at)


def _open_jobs(board: Board) -> Iterator[Opened]:
    """Yield every open job at a station, in the order of ranks."""
    for journey in board.journeys:
        for task in journey.tasks:
            if task.pool is not None:
                yield from (_opened(board, task, job) for job in task.operation.open_jobs)


def _opened(board: Board, task: Task, job: OpenJob) -> Opened:
    """Return what an open job needs."""
    station, operation = board.benches[job.station].station, task.operation
    spent_s = job.worked_s
    if spent_s is None:
        now = board.shop.now
        spent_s = station.calendar.work_between(max(job.started_at, now - HORIZON_S), now)
    work_s = run_seconds(operation.taking, station, job.pieces)
    return Opened(task, job, operation.setup_s if job.in_setup else 0, work_s, spent_s)


def _begun(load: list[Opened]) -> tuple[int, int]:
    """Return what open loads are ordered by: their start, then the best rank in them."""
    return min(opened.job.started_at for opened in load), min(opened.task.priority for opened in load)


def _resume_load(board: Board, bench: Bench, load: list[Opened], at: int) -> int:
    """Plan one load from ``at`` on and return its end."""
    slowest = max(load, key=lambda opened: opened.left_s)
    try:
        end = bench.station.calendar.finish(at, slowest.left_s)
    except NoOpenHoursError:
        for opened in load:
            give_up(opened.task, ObstacleKind.TOO_FEW_HOURS)
        return at
    first = load[0].task
    bench.family = first.operation.family
    bench.loads.append(Load(first.journey.lot.key, at, end, slowest.left_s))
    number = board.next_serial()
    setup_s = max(0, slowest.setup_s - slowest.spent_s)
    slot = Slot(bench.station.key, at, end, setup_s, slowest.left_s - setup_s)
    for opened in load:
        job = Job(opened.task, opened.job.pieces, board.shop.now, board.shop.now, None)
        run = replace(make_run(job, job.pieces, slot, number), under_way=True)
        bench.runs.append(run)
        pass_on(board, opened.task, run, _transfers(bench, opened, run, alone=len(load) == 1))
    return end


def _transfers(bench: Bench, opened: Opened, run: Run, *, alone: bool) -> list[Transfer] | None:
    """Return the transfers of an open job; those of a shared load leave it together."""
    if alone:
        return sent_ahead(opened.task.operation, bench, run, opened.setup_s - opened.spent_s)
    return None if opened.task.operation.send_ahead is None else [Transfer(run.end, run.pieces)]
