"""The way of one new lot through its operations, each run put where it is done first.

Pieces move on as the model says: all at an operation's end, ahead in transfers, or delivery by delivery.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.planning import arrays as a
from app.core.planning.batches import batch_room
from app.core.planning.obstacles import Obstacle, ObstacleKind, Trouble
from app.core.planning.packing import Packing
from app.core.planning.results import Run
from app.core.planning.takings import done_ms, run_seconds, seconds, taken_up_ms
from app.core.promise.agenda import Agenda, Busy, Place
from app.core.shop import Arrival, Batch, LeadTime, Operation, Purchase, Station
from app.core.work_hours import WorkHours
from app.core.worktime import Span


class Transfer(NamedTuple):
    """``pieces`` that reach an operation at ``time``."""

    time: int
    pieces: int


class Arriving(NamedTuple):
    """Transfers, ascending, that come from the run ``after``, or were there from the start."""

    transfers: list[Transfer]
    after: Run | None


class Job(NamedTuple):
    """Pieces that can be worked on from ``ready`` on; ``arrived`` and ``after`` are those of Run."""

    pieces: int
    arrived: int
    ready: int
    after: Run | None


class Way:
    """A lot that goes into the gaps of what is planned."""

    def __init__(self, packing: Packing, busy: Mapping[str, Sequence[Busy]]) -> None:
        self.packing = packing
        self._now = packing.shop.now
        until = self._now + HORIZON_S
        stations = enumerate(packing.shop.stations)
        longest = [row[a.S_FIT] for row in packing.tables.stations]
        self._agendas = [Agenda(one, at, busy.get(one.key, ()), until, longest[at]) for at, one in stations]
        self.runs: list[list[Run]] = [[] for _ in packing.lots[0].operations]
        self.troubles: list[Trouble] = []
        self.finish: int | None = None
        self.last_run: Run | None = None
        self._loads = 0

    def go(self) -> None:
        """Plan the lot operation by operation."""
        arriving: list[Arriving] = []
        for index, operation in enumerate(self.packing.lots[0].operations):
            if operation.waiting:
                arriving.insert(0, Arriving([Transfer(self._now, operation.waiting)], None))
            if self.packing.tables.ops[index][a.O_BLOCKED]:
                arriving = []
                continue
            jobs = [job for each in arriving for job in self._jobs(index, operation, each)]
            for job in sorted(jobs, key=lambda job: job.ready):
                self._plan(index, operation, job)
            arriving = self._leaving(index, operation)
        for transfers, after in arriving:
            if self.finish is None or transfers[-1].time > self.finish:
                self.finish, self.last_run = transfers[-1].time, after

    def _jobs(self, index: int, operation: Operation, arriving: Arriving) -> Iterator[Job]:
        """Yield the pieces that one run takes together, and from when on it would not run dry."""
        missing = operation.not_before.time if operation.not_before else None
        for group in self._groups(operation, arriving.transfers):
            arrived = self._from_when(index, operation, group)
            pieces = sum(transfer.pieces for transfer in group)
            yield Job(pieces, arrived, max(arrived, missing or 0), arriving.after)

    def _groups(self, operation: Operation, transfers: list[Transfer]) -> Iterator[list[Transfer]]:
        """Yield transfers that go together; a batch takes only what is there when it starts."""
        room = batch_room(operation.taking) if isinstance(operation.taking, Batch) else None
        group: list[Transfer] = []
        for transfer in transfers:
            group.append(transfer)
            if room is not None and sum(one.pieces for one in group) >= room:
                yield group
                group = []
        if group:
            yield group

    def _from_when(self, index: int, operation: Operation, transfers: list[Transfer]) -> int:
        """Return from when on a run of the transfers' pieces would find each piece there, whichever station takes it.

        Reckoned without set-up, which would only give the pieces more time. Where stations differ the latest counts.
        Several runs would take the pieces up faster than one, so they wait for all.
        """
        row = self.packing.tables.ops[index]
        several = row[a.O_LIMIT] < row[a.O_LEFT]
        if len(transfers) == 1 or several or isinstance(operation.taking, Batch) or row[a.O_POOL] < 0:
            return transfers[-1].time
        stations = (agenda.station for agenda in self._able(index))
        return max(_runs_through_from(operation, station, transfers) for station in stations)

    def _able(self, index: int) -> list[Agenda]:
        """Return the stations that can do an operation."""
        tables = self.packing.tables
        pool = tables.pools[tables.ops[index][a.O_POOL]]
        return [self._agendas[at] for at in tables.pool_stations[pool[a.P_STATIONS] : pool[a.P_STATIONS_END]]]

    def _plan(self, index: int, operation: Operation, job: Job) -> None:
        """Plan a job: outside, or run by run where each is done first."""
        row, pieces = self.packing.tables.ops[index], job.pieces
        if job.ready > self._now + HORIZON_S:
            self._give_up(index, ObstacleKind.TOO_FAR_AHEAD)
        elif row[a.O_POOL] < 0:
            self._go_outside(index, operation, job)
        else:
            while pieces and self._plan_run(index, job, share := min(pieces, row[a.O_LIMIT])):
                pieces -= share

    def _plan_run(self, index: int, job: Job, pieces: int) -> bool:
        """Plan a run where it is done first; False when no station has the hours for it."""
        operation = self.packing.lots[0].operations[index]
        places: list[tuple[Place, Agenda]] = []
        for agenda in self._able(index):
            work_s = run_seconds(operation.taking, agenda.station, pieces)
            places += ((place, agenda) for place in agenda.places(operation, pieces, job.ready, work_s))
        if not places:
            self._give_up(index, self.packing.if_left_over.get(index, ObstacleKind.TOO_FEW_HOURS))
            return False
        place, agenda = min(places, key=lambda found: found[0][:3])
        agenda.book(operation, pieces, place)
        self._add_run(index, job, pieces, (agenda.station.key, place.start, place.end, place.setup_s, place.work_s))
        return True

    def _add_run(
        self, index: int, job: Job, pieces: int, slot: tuple[str | None, int, int, int, int], *, guess: bool = False
    ) -> None:
        lot = self.packing.lots[0]
        station, start, end, setup_s, work_s = slot
        self._loads += 1
        runs = (run for runs in self.runs for run in runs if station is not None)
        mine = (run.load for run in runs if (run.station, run.start) == (station, start))
        self.runs[index].append(
            Run(
                lot=lot.key,
                operation=lot.operations[index].key,
                station=station,
                start=start,
                end=end,
                setup_s=setup_s,
                work_s=work_s,
                pieces=pieces,
                arrived=job.arrived,
                ready=job.ready,
                load=next(mine, self._loads),  # it may join a batch of its own
                guess=guess,
                after=job.after,
            )
        )

    def _give_up(self, index: int, kind: ObstacleKind) -> None:
        self.troubles.append(Trouble(index, Obstacle(kind, self.packing.lots[0].operations[index].key)))

    def _go_outside(self, index: int, operation: Operation, job: Job) -> None:
        """Plan a job that needs no station; it starts as soon as it is ready."""
        taking = operation.taking
        if isinstance(taking, Purchase):
            bought = sum(run.pieces for run in self.runs[index])
            for each in _arrivals(taking, bought, job.pieces):
                slot = (None, job.ready, max(job.ready, each.time), 0, 0)
                self._add_run(index, job, each.pieces, slot, guess=each.guess)
        elif isinstance(taking, LeadTime):
            try:
                receiving = self.packing.shop.receiving
                end = receiving.after_days(job.ready, taking.days, working_days=taking.working_days)
            except NoOpenHoursError:
                self._give_up(index, ObstacleKind.NO_RECEIVING)
                return
            self._add_run(index, job, job.pieces, (None, job.ready, end, 0, 0))

    def _leaving(self, index: int, operation: Operation) -> list[Arriving]:
        """Return how an operation's pieces leave it."""
        runs = self.runs[index]
        if isinstance(operation.taking, Purchase):
            return [Arriving([Transfer(run.end, run.pieces)], run) for run in runs]
        if operation.send_ahead is not None:
            return [Arriving(self._sent_ahead(operation, run), run) for run in runs]
        pieces = sum(run.pieces for run in runs)
        if pieces == 0 or pieces < self.packing.tables.ops[index][a.O_LEFT]:
            return []
        last = max(runs, key=lambda run: run.end)
        return [Arriving([Transfer(last.end, pieces)], last)]

    def _sent_ahead(self, operation: Operation, run: Run) -> list[Transfer]:
        """Return the transfers of a run whose pieces go ahead."""
        station = next((one for one in self.packing.shop.stations if one.key == run.station), None)
        step = operation.send_ahead or run.pieces
        if station is None or isinstance(operation.taking, Batch):
            return [Transfer(run.end, run.pieces)]
        transfers = []
        for before in range(0, run.pieces, step):
            done = min(before + step, run.pieces)
            work = run.setup_s + seconds(done_ms(operation.taking, station, done, run.pieces))
            transfers.append(Transfer(station.calendar.finish(run.start, work), done - before))
        return transfers


def _arrivals(purchase: Purchase, skip: int, pieces: int) -> Iterator[Arrival]:
    """Yield what brings ``pieces`` once ``skip`` pieces have come, in order of time."""
    for arrival in sorted(purchase.arrivals, key=lambda one: one.time):
        taken = min(max(0, arrival.pieces - skip), pieces)
        skip = max(0, skip - arrival.pieces)
        if taken:
            yield Arrival(arrival.time, taken, arrival.guess)
        pieces -= taken


def _runs_through_from(operation: Operation, station: Station, transfers: list[Transfer]) -> int:
    """Return the earliest start at which ``station`` never waits for a transfer.

    Also where its work goes on unattended, so that it takes the pieces up sooner than is counted on.
    """
    first, hours = transfers[0].time, WorkHours.of(station, None)
    spans = hours.running(Span(first, transfers[-1].time))
    short = before = 0
    for time, pieces in transfers:
        gone = sum(min(span.end, time) - span.start for span in spans if span.start < time)
        short = max(short, gone - taken_up_ms(operation.taking, station, before) // 1000)
        before += pieces
    try:
        return hours.end(first, 0, short)
    except NoOpenHoursError:
        return transfers[-1].time
