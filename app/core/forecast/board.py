"""The state of a forecast while it is being made: lots, their operations, the stations and what waits for them."""

from contextlib import suppress
from dataclasses import dataclass, field
from enum import IntEnum
from heapq import heappush
from typing import NamedTuple

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.forecast.obstacles import Obstacle, ObstacleKind, Trouble
from app.core.forecast.results import Run
from app.core.shop import Batch, Lot, Operation, Shop, Station, Taking


@dataclass(slots=True, eq=False)
class Load:
    """One stretch of a station's time: a run, or a batch that several lots share; ``lot`` is the first of them."""

    lot: str
    start: int
    end: int
    open_s: int


@dataclass(slots=True, eq=False)
class Bench:
    """A station during the forecast.

    ``called`` says that it is going to look for work at a set time, because it is busy or closed until then.
    """

    station: Station
    index: int
    family: str | None
    pools: list["Pool"] = field(default_factory=list)
    called: bool = False
    loads: list[Load] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Pool:
    """Work that the same stations can do, as a heap by priority; batches of each recipe have pools of their own."""

    benches: tuple[Bench, ...]
    recipe: str | None
    queue: list[tuple[int, "Job"]] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Journey:
    """A lot during the forecast."""

    lot: Lot
    tasks: list["Task"] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    finish: int | None = None
    last_run: Run | None = None


@dataclass(slots=True, eq=False)
class Task:
    """An operation during the forecast.

    Attributes:
        journey: its lot.
        index: its place in the lot.
        operation: what to do.
        priority: the lower goes first; no two tasks have the same.
        pool: where its pieces wait; None when no station is needed, or none can be had.
        blocked: whether pieces that reach it go no further, because of a trouble.
        starved: whether what is not begun waits for something of which nobody knows when it comes.
        todo: pieces that will still come to it, wait or are in work.
        done: pieces that are done and not yet passed on.
        runs: what is planned.
        job: the pieces of it that wait in the pool.
    """

    journey: Journey
    index: int
    operation: Operation
    priority: int
    pool: Pool | None = None
    blocked: bool = False
    starved: bool = False
    todo: int = 0
    done: int = 0
    runs: list[Run] = field(default_factory=list)
    job: "Job | None" = None


@dataclass(slots=True, eq=False)
class Job:
    """Pieces that can be worked on from ``ready`` on; ``arrived`` and ``after`` are those of Run."""

    task: Task
    pieces: int
    arrived: int
    ready: int
    after: Run | None


class Slot(NamedTuple):
    """Where and when a run goes, and its open seconds of set-up and work; no station means outside."""

    station: str | None
    start: int
    end: int
    setup_s: int = 0
    work_s: int = 0


class Event(IntEnum):
    """Kinds of event, in the order in which those of one second are dealt with."""

    READY = 0
    CALL = 1


@dataclass(slots=True, eq=False)
class Board:
    """Everything a forecast works on; ``events`` is a heap of (second, kind, serial number, what)."""

    shop: Shop
    benches: dict[str, Bench]
    by_work_center: dict[str, tuple[Bench, ...]]
    pools: dict[tuple[tuple[int, ...], str | None], Pool] = field(default_factory=dict)
    journeys: list[Journey] = field(default_factory=list)
    events: list[tuple[int, Event, int, Job | Bench]] = field(default_factory=list)
    serial: int = 0

    @property
    def horizon(self) -> int:
        """The second beyond which nothing is planned."""
        return self.shop.now + HORIZON_S

    def next_serial(self) -> int:
        """Return a number not given before."""
        self.serial += 1
        return self.serial


def announce(board: Board, second: int, kind: Event, what: Job | Bench) -> None:
    """Put an event on the heap."""
    heappush(board.events, (second, kind, board.next_serial(), what))


def call(board: Board, bench: Bench, second: int) -> None:
    """Have a station look for work when it is first open at or after ``second``; never if it does not open again."""
    bench.called = True
    with suppress(NoOpenHoursError):
        announce(board, bench.station.calendar.next_open(second), Event.CALL, bench)


def pool_for(board: Board, benches: tuple[Bench, ...], taking: Taking) -> Pool:
    """Return the pool of what exactly these stations can do, making it where there is none."""
    recipe = taking.recipe if isinstance(taking, Batch) else None
    key = (tuple(bench.index for bench in benches), recipe)
    pool = board.pools.get(key)
    if pool is None:
        pool = board.pools[key] = Pool(benches, recipe)
        for bench in benches:
            bench.pools.append(pool)
    return pool


def note(task: Task, obstacle: Obstacle) -> None:
    """Keep what stands in the way of a task."""
    task.journey.troubles.append(Trouble(task.index, obstacle))


def give_up(task: Task, kind: ObstacleKind) -> None:
    """Let the pieces of a task go no further, because the open hours do not hold its work."""
    task.blocked = True
    note(task, Obstacle(kind, task.operation.key))


def make_run(job: Job, pieces: int, slot: Slot, load: int, *, guess: bool = False) -> Run:
    """Return the run of so many pieces of a job in a slot."""
    return Run(
        lot=job.task.journey.lot.key,
        operation=job.task.operation.key,
        station=slot.station,
        start=slot.start,
        end=slot.end,
        setup_s=slot.setup_s,
        work_s=slot.work_s,
        pieces=pieces,
        arrived=job.arrived,
        ready=job.ready,
        load=load,
        guess=guess,
        after=job.after,
    )
