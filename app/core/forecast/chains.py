"""Where a lot's time goes: from its finish back through what each operation waited for, to now."""

from bisect import bisect_right
from collections.abc import Iterator
from typing import Final

from app.core.calendars import WorkCalendar
from app.core.forecast.board import Bench, Board, Journey, Task
from app.core.forecast.results import Cause, Reason, Run
from app.core.shop import Purchase

NAMED_AHEAD: Final = 20
"""So many lots ahead at a busy station are named; nobody reads more."""


def chain(board: Board, journey: Journey) -> tuple[Reason, ...]:
    """Return the reasons between now and the lot's finish; their seconds add up to it exactly.

    The way is the one that decided: from each run back to the one its pieces came from, as far as they were waited for.
    """
    tasks = {task.operation.key: task for task in journey.tasks}
    stretches: list[list[Reason]] = []
    run, until = journey.last_run, journey.finish or 0
    while run is not None:
        task = tasks[run.operation]
        bench = board.benches[run.station] if run.station is not None else None
        stretches.append([*_waiting(task, run, bench), *_running(task, run, bench, until)])
        until, run = run.arrived, run.after
    return tuple(reason for stretch in reversed(stretches) for reason in stretch if reason.seconds)


def _waiting(task: Task, run: Run, bench: Bench | None) -> Iterator[Reason]:
    """Yield what a run waited for after its pieces had arrived: components, then its station."""
    missing = task.operation.not_before
    if missing is not None:
        seconds = run.ready - run.arrived
        yield Reason(Cause.COMPONENTS, seconds, run.operation, run.station, what=missing.what, guess=missing.guess)
    if bench is not None and run.start > run.ready:
        pauses = list(_pauses(run, bench.station.calendar, run.ready, run.start))
        # A free and open station never leaves waiting work alone, so it was busy whenever it was open.
        busy = run.start - run.ready - sum(pause.seconds for pause in pauses)
        yield Reason(Cause.BUSY, busy, run.operation, run.station, behind=_lots_ahead(bench, run))
        yield from pauses


def _running(task: Task, run: Run, bench: Bench | None, until: int) -> Iterator[Reason]:
    """Yield what happened in a run up to ``until``, when its end or what it sent ahead let the next one go on."""
    if bench is None:
        cause = Cause.BLANKS if isinstance(task.operation.taking, Purchase) else Cause.OUTSIDE
        yield Reason(cause, until - run.start, run.operation, guess=run.guess)
        return
    calendar = bench.station.calendar
    worked = calendar.work_between(run.start, until)
    yield Reason(Cause.SETUP, run.setup_s, run.operation, run.station)
    yield Reason(Cause.RUNNING, worked - run.setup_s, run.operation, run.station)
    yield from _pauses(run, calendar, run.start, until)


def _pauses(run: Run, calendar: WorkCalendar, start: int, end: int) -> Iterator[Reason]:
    """Yield the time in which the run's station was closed or down."""
    pauses = calendar.pauses(start, end)
    if pauses.closed:
        yield Reason(Cause.CLOSED, pauses.closed, run.operation, run.station)
    if pauses.down:
        yield Reason(Cause.DOWN, pauses.down, run.operation, run.station, guess=pauses.guess)


def _lots_ahead(bench: Bench, run: Run) -> tuple[tuple[str, int], ...]:
    """Return the lots a station did while ``run`` waited for it and the open seconds each took, in order.

    A shared batch counts for the first of its lots. Of more than NAMED_AHEAD lots only the last ones are named.
    """
    ahead: dict[str, int] = {}
    at = bisect_right(bench.loads, run.start, key=lambda load: load.end) - 1
    while at >= 0 and bench.loads[at].end > run.ready and len(ahead) < NAMED_AHEAD:
        load = bench.loads[at]
        part = load.open_s if load.start >= run.ready else bench.station.calendar.work_between(run.ready, load.end)
        ahead[load.lot] = ahead.get(load.lot, 0) + part
        at -= 1
    return tuple((lot, part) for lot, part in reversed(ahead.items()) if part)
