"""When a new lot could be done without moving anything that is planned: its operations go into the gaps.

The gaps come from a stored forecast, so the answer takes milliseconds. It is a date that holds if the plan does; the
next forecast decides anew who goes first, by rank.
"""

from bisect import bisect_right, insort
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappop
from typing import NamedTuple

from app.core.calendars import NoOpenHoursError
from app.core.forecast import Cause, Forecast, LotForecast, Run
from app.core.forecast.batches import BatchLoad, fitting
from app.core.forecast.board import Bench, Board, Job, Slot, give_up, make_run
from app.core.forecast.build import build
from app.core.forecast.dispatch import needed_setup
from app.core.forecast.flow import pass_on, sent_ahead
from app.core.forecast.obstacles import ObstacleKind
from app.core.forecast.outside import go_outside
from app.core.forecast.plan import lot_forecast, set_going
from app.core.forecast.takings import run_seconds
from app.core.shop import Batch, Lot, Operation, Shop


@dataclass(frozen=True, slots=True)
class Busy:
    """A stretch of a station's time that is taken.

    Attributes:
        start: its first second.
        end: the second after its last.
        family: what the station is set up for then.
        saved_setup_s: set-up that it would need if something of another family came before it, and has not planned.
        batch: what is in it, if it is a shared batch that others may still join.
    """

    start: int
    end: int
    family: str = ""
    saved_setup_s: int = 0
    batch: BatchLoad | None = None


@dataclass(frozen=True, slots=True)
class Promise:
    """When a lot could be done, with its operations and reasons, and the station that it waits for longest, if any."""

    lot: LotForecast
    held_up_by: str | None


class Gap(NamedTuple):
    """A stretch of free time at a station: up to ``follower``, or without end."""

    start: int
    family: str | None
    follower: Busy | None


class Place(NamedTuple):
    """Where a run could go; ``joined`` is the batch that it would be part of."""

    end: int
    order: int
    start: int
    bench: Bench
    setup_s: int
    work_s: int
    joined: Busy | None


def busy_stretches(shop: Shop, forecast: Forecast) -> dict[str, tuple[Busy, ...]]:
    """Return what a forecast takes of each station's time, by its key, in order."""
    operations = {(lot.key, operation.key): operation for lot in shop.lots for operation in lot.operations}
    return {key: tuple(_stretches(runs, operations)) for key, runs in forecast.stations.items()}


def promise(shop: Shop, busy: Mapping[str, Sequence[Busy]], lot: Lot) -> Promise:
    """Return when ``lot``, which has not begun, could be done if everything planned stays where it is.

    Args:
        shop: its moment, stations and receiving calendar count, its lots do not.
        busy: the taken time of each station by its key, in order, as busy_stretches gives it.
        lot: the new lot, with its pieces waiting at its first operation.

    Raises:
        ValueError: the lot has open jobs.
    """
    if any(operation.open_jobs for operation in lot.operations):
        raise ValueError("A promise is for a lot that has not begun.")
    board = build(replace(shop, lots=(lot,)))
    agendas = {key: list(busy.get(key, ())) for key in board.benches}
    set_going(board)
    while board.events:
        job = heappop(board.events)[3]
        if isinstance(job, Job):
            _place(board, agendas, job)
    planned = lot_forecast(board, board.journeys[0])
    waits = Counter[str]()
    for reason in planned.chain:
        if reason.cause is Cause.BUSY and reason.station is not None:
            waits[reason.station] += reason.seconds
    return Promise(planned, max(waits, key=lambda key: waits[key], default=None))


def _stretches(runs: Sequence[Run], operations: Mapping[tuple[str, str], Operation]) -> Iterator[Busy]:
    """Yield the taken time of one station; the runs of one load are one stretch."""
    at = 0
    while at < len(runs):
        first, operation = runs[at], operations[runs[at].lot, runs[at].operation]
        load = BatchLoad.of(operation.taking, first.pieces) if isinstance(operation.taking, Batch) else None
        at += 1
        while at < len(runs) and runs[at].load == first.load:
            more = operations[runs[at].lot, runs[at].operation]
            load = load and load.with_more(more.taking, runs[at].pieces)
            at += 1
        saved = 0 if first.under_way else operation.setup_s - first.setup_s
        yield Busy(first.start, first.end, operation.family, saved, None if first.under_way else load)


def _place(board: Board, agendas: dict[str, list[Busy]], job: Job) -> None:
    """Plan a job: outside, or run by run where each is done first."""
    task = job.task
    if task.pool is None and not task.blocked:
        go_outside(board, job)
    while task.pool is not None and job.pieces and not task.blocked:
        pieces = fitting(task.operation.taking, job.pieces)
        places = [place for bench in task.pool.benches for place in _places(bench, agendas, job, pieces)]
        if places:
            _book(board, agendas, job, pieces, min(places, key=lambda place: place[:3]))
        else:
            give_up(task, ObstacleKind.TOO_FEW_HOURS)


def _book(board: Board, agendas: dict[str, list[Busy]], job: Job, pieces: int, place: Place) -> None:
    """Plan a run in its place, which is then taken."""
    bench, operation = place.bench, job.task.operation
    agenda = agendas[bench.station.key]
    if place.joined is not None:
        agenda.remove(place.joined)
    insort(agenda, _taken(operation, pieces, place), key=lambda busy: busy.start)
    slot = Slot(bench.station.key, place.start, place.end, place.setup_s, place.work_s)
    run = make_run(job, pieces, slot, board.next_serial())
    job.pieces -= pieces
    pass_on(board, job.task, run, sent_ahead(operation, bench, run, place.setup_s))


def _taken(operation: Operation, pieces: int, place: Place) -> Busy:
    """Return what a run takes of its station's time; a batch that it joins stays what it was, but fuller."""
    taking, joined = operation.taking, place.joined
    if joined is not None and joined.batch is not None:
        return replace(joined, batch=joined.batch.with_more(taking, pieces))
    batch = BatchLoad.of(taking, pieces) if isinstance(taking, Batch) else None
    # It saves no set-up that could be spoilt: jobs come by the time they are ready, so none goes in just before it.
    return Busy(place.start, place.end, operation.family, batch=batch)


def _places(bench: Bench, agendas: Mapping[str, Sequence[Busy]], job: Job, pieces: int) -> Iterator[Place]:
    """Yield where a station could first take some pieces: in a batch that is planned, and on their own."""
    agenda, operation, station = agendas[bench.station.key], job.task.operation, bench.station
    first = bisect_right(agenda, job.ready, key=lambda busy: busy.end)
    work_s = run_seconds(operation.taking, station, pieces)
    for busy in agenda[first:]:
        if busy.batch and busy.start >= job.ready and busy.batch.with_more(operation.taking, pieces):
            setup_s = station.calendar.work_between(busy.start, busy.end) - work_s
            yield Place(busy.end, bench.index, busy.start, bench, setup_s, work_s, busy)
            break
    for gap in _gaps(bench, agenda, first, job.ready):
        place = _fit(bench, operation, gap, work_s)
        if place is not None:
            yield place
            break


def _gaps(bench: Bench, agenda: Sequence[Busy], first: int, ready: int) -> Iterator[Gap]:
    """Yield the free stretches of a station from ``ready`` on; ``first`` is the first taken one that ends later."""
    family = agenda[first - 1].family if first else bench.station.set_up_for
    start = ready
    for busy in agenda[first:]:
        if busy.start > start:
            yield Gap(start, family, busy)
        start, family = busy.end, busy.family
    yield Gap(start, family, None)


def _fit(bench: Bench, operation: Operation, gap: Gap, work_s: int) -> Place | None:
    """Return where in a gap so much work fits, leaving what follows the set-up it would then need."""
    calendar, follower = bench.station.calendar, gap.follower
    setup_s = needed_setup(gap.family, operation)
    if follower is not None and follower.start - gap.start < setup_s + work_s:
        return None
    try:
        start = calendar.next_open(gap.start)
        end = calendar.finish(start, setup_s + work_s)
    except NoOpenHoursError:
        return None
    if follower is not None:
        spoilt = follower.saved_setup_s if follower.family != operation.family else 0
        if end > follower.start or calendar.work_between(end, follower.start) < spoilt:
            return None
    return Place(end, bench.index, start, bench, setup_s, work_s, None)
