"""The event loop: a station that is free and open takes the waiting work with the lowest rank.

Where several free stations can do it, the one that would finish it first gets it; equals go by the order of stations.
A station decides only while it is open, so that what arrives overnight is considered in the morning. A run, once
begun, is not broken off for another; it pauses while the station is closed.
"""

from collections.abc import Iterable
from heapq import heappop, heappush
from typing import NamedTuple

from app.core.calendars import NoOpenHoursError
from app.core.forecast.batches import BatchLoad, fitting
from app.core.forecast.board import Bench, Board, Job, Load, Pool, Slot, call, give_up, make_run, pool_for
from app.core.forecast.flow import pass_on, sent_ahead
from app.core.forecast.obstacles import ObstacleKind
from app.core.forecast.outside import go_outside
from app.core.forecast.takings import run_seconds
from app.core.shop import Batch, Operation


class Offer(NamedTuple):
    """What a station would make of a job: the open seconds it would take, and when it would be done."""

    end: int
    place: int
    bench: Bench
    setup_s: int
    work_s: int


class Share(NamedTuple):
    """The pieces of a job that go into a run."""

    job: Job
    pieces: int


def play(board: Board) -> None:
    """Deal with events, second by second, until nothing more happens; then give up what still waits."""
    while board.events:
        now = board.events[0][0]
        awake: list[Bench] = []
        while board.events and board.events[0][0] == now:
            what = heappop(board.events)[3]
            if isinstance(what, Job):
                _receive(board, what, now)
            else:
                what.called = False
                awake.append(what)
        _dispatch(board, now, awake)
    for pool in board.pools.values():
        for _, job in pool.queue:
            give_up(job.task, ObstacleKind.NO_OPENING)


def needed_setup(family: str | None, operation: Operation) -> int:
    """Return the seconds of set-up at a station that was last set up for ``family``: none when it stays the same."""
    return 0 if operation.family and operation.family == family else operation.setup_s


def _receive(board: Board, job: Job, now: int) -> None:
    """Take up a job that has become ready: it goes outside, or waits with what already waits of its operation."""
    task = job.task
    if task.blocked:
        return
    if task.pool is None:
        go_outside(board, job)
    elif task.job is not None:
        task.job.pieces += job.pieces
    else:
        _wait(board, task.pool, job, now)


def _wait(board: Board, pool: Pool, job: Job, now: int) -> None:
    """Let a job wait for the stations of a pool, and have the idle ones look at it."""
    job.task.pool, job.task.job = pool, job
    heappush(pool.queue, (job.task.priority, job))
    for bench in pool.benches:
        if not bench.called:
            call(board, bench, now)


def _dispatch(board: Board, now: int, awake: list[Bench]) -> None:
    """Give work to the stations that are free and open at ``now``, the most urgent first."""
    while (pool := _most_urgent(pool for bench in awake for pool in bench.pools)) is not None:
        job = heappop(pool.queue)[1]
        share = Share(job, fitting(job.task.operation.taking, job.pieces))
        asked = [bench for bench in awake if bench in pool.benches]
        offers = [offer for bench in asked if (offer := _offer(bench, share, now, board.horizon)) is not None]
        if offers:
            best = min(offers)
            awake.remove(best.bench)
            _start(board, now, best, [share, *_company(best.bench, share)])
        else:
            _turn_away(board, job, [bench for bench in pool.benches if bench not in asked], now)


def _most_urgent(pools: Iterable[Pool]) -> Pool | None:
    """Return the pool whose first job has the lowest rank; None when nothing waits."""
    return min((pool for pool in pools if pool.queue), key=lambda pool: pool.queue[0][0], default=None)


def _offer(bench: Bench, share: Share, now: int, horizon: int) -> Offer | None:
    """Return what a station would make of a share from ``now`` on; None when its open hours do not hold the work."""
    operation = share.job.task.operation
    setup_s = needed_setup(bench.family, operation)
    work_s = run_seconds(operation.taking, bench.station, share.pieces)
    try:
        end = bench.station.calendar.finish(now, setup_s + work_s)
    except NoOpenHoursError:
        return None
    if end > horizon:
        return None
    return Offer(end, bench.index, bench, setup_s, work_s)


def _company(bench: Bench, lead: Share) -> list[Share]:
    """Take from the queues what shares a batch with ``lead``: whole jobs of its recipe, by rank, as far as they fit."""
    taking = lead.job.task.operation.taking
    if not isinstance(taking, Batch):
        return []
    load = BatchLoad.of(taking, lead.pieces)
    company: list[Share] = []
    left: list[tuple[Pool, tuple[int, Job]]] = []
    pools = [pool for pool in bench.pools if pool.recipe == taking.recipe]
    while not load.full and (pool := _most_urgent(pools)) is not None:
        entry = heappop(pool.queue)
        job = entry[1]
        shared = load.with_more(job.task.operation.taking, job.pieces)
        if shared is None:
            left.append((pool, entry))
        else:
            load = shared
            company.append(Share(job, job.pieces))
    for pool, entry in left:
        heappush(pool.queue, entry)
    return company


def _start(board: Board, now: int, offer: Offer, shares: list[Share]) -> None:
    """Begin a run: the station is busy until its end, the pieces move on."""
    bench, number = offer.bench, board.next_serial()
    slot = Slot(bench.station.key, now, offer.end, offer.setup_s, offer.work_s)
    lead = shares[0].job.task
    bench.family = lead.operation.family
    bench.loads.append(Load(lead.journey.lot.key, now, offer.end, offer.setup_s + offer.work_s))
    call(board, bench, offer.end)
    for job, pieces in shares:
        _use_up(job, pieces)
        run = make_run(job, pieces, slot, number)
        bench.runs.append(run)
        pass_on(board, job.task, run, sent_ahead(job.task.operation, bench, run, offer.setup_s))


def _use_up(job: Job, pieces: int) -> None:
    """Take a run's pieces from a job; what is left waits on."""
    job.pieces -= pieces
    if job.pieces == 0:
        job.task.job = None
    elif job.task.pool is not None:
        heappush(job.task.pool.queue, (job.task.priority, job))


def _turn_away(board: Board, job: Job, others: list[Bench], now: int) -> None:
    """Let a job wait for the other stations of its pool, because those asked do not have the open hours for it."""
    job.task.job = None
    if others:
        _wait(board, pool_for(board, tuple(others), job.task.operation.taking), job, now)
    else:
        give_up(job.task, ObstacleKind.TOO_FEW_HOURS)
