"""The taken time of a station, and where in it a run could go."""

from bisect import bisect_right, insort
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from app.core.calendars import HORIZON_S, NoOpenHoursError
from app.core.planning.batches import BatchLoad
from app.core.planning.results import Forecast, Run
from app.core.shop import Batch, Operation, OverClosed, Shop, Station


@dataclass(frozen=True, slots=True)
class Busy:
    """A stretch of a station's time that is taken.

    Attributes:
        start: its first second.
        end: the second after its last.
        family: what the station is set up for then.
        fixture: the fixture or family of parts that it then has.
        saved_setup_s: set-up that it would need if something of another family came before it, and has not planned.
        batch: what is in it, if it is a shared batch that others may still join.
    """

    start: int
    end: int
    family: str = ""
    fixture: str = ""
    saved_setup_s: int = 0
    batch: BatchLoad | None = None


class Gap(NamedTuple):
    """A stretch of free time at a station: up to ``follower``, or without end; and what is set up there then."""

    start: int
    family: str | None
    fixture: str | None
    follower: Busy | None


class Place(NamedTuple):
    """Where a run could go; ``joined`` is the batch that it would be part of."""

    end: int
    order: int
    start: int
    setup_s: int
    work_s: int
    joined: Busy | None


def busy_stretches(shop: Shop, forecast: Forecast) -> dict[str, tuple[Busy, ...]]:
    """Return what a forecast takes of each station's time, by its key, in order."""
    operations = {(lot.key, operation.key): operation for lot in shop.lots for operation in lot.operations}
    return {key: tuple(_stretches(runs, operations)) for key, runs in forecast.stations.items()}


def _stretches(runs: Sequence[Run], operations: Mapping[tuple[str, str], Operation]) -> Iterator[Busy]:
    """Yield the taken time of one station; the runs of one load are one stretch, and none overlaps the one before."""
    at = end = 0
    while at < len(runs):
        first, operation = runs[at], operations[runs[at].lot, runs[at].operation]
        load = BatchLoad.of(operation.taking, first.pieces) if isinstance(operation.taking, Batch) else None
        at += 1
        while at < len(runs) and runs[at].load == first.load:
            more = operations[runs[at].lot, runs[at].operation]
            load = load and load.with_more(more.taking, runs[at].pieces)
            at += 1
        saved = 0 if first.under_way else operation.setup_s - first.setup_s
        open_load = None if first.under_way else load
        start, end = max(first.start, end), first.end
        yield Busy(start, end, operation.family, operation.fixture, saved, open_load)


class Agenda:
    """One station with what it does, to which runs of a new lot are added.

    ``longest`` is its longest open stretch where work must fit into one, else 0.
    """

    def __init__(self, station: Station, order: int, taken: Sequence[Busy], until: int, longest: int) -> None:
        self.station, self.order, self.taken = station, order, list(taken)
        self._until, self._longest = until, longest

    def places(self, operation: Operation, pieces: int, ready: int, work_s: int) -> Iterator[Place]:
        """Yield where the station could first take some pieces: in a batch that is planned, and on their own."""
        calendar = self.station.calendar
        first = bisect_right(self.taken, ready, key=lambda busy: busy.end)
        for busy in self.taken[first:]:
            if busy.batch and busy.start >= ready and busy.batch.with_more(operation.taking, pieces):
                setup_s = calendar.work_between(busy.start, busy.end) - work_s
                yield Place(busy.end, self.order, busy.start, setup_s, work_s, busy)
                break
        for gap in self._gaps(first, ready):
            place = self._fit(operation, gap, work_s)
            if place is not None:
                yield place
                break

    def book(self, operation: Operation, pieces: int, place: Place) -> None:
        """Plan a run in a place, which is then taken; a batch that it joins stays what it was, but fuller."""
        taking, joined = operation.taking, place.joined
        if joined is not None and joined.batch is not None:
            self.taken.remove(joined)
            added = replace(joined, batch=joined.batch.with_more(taking, pieces))
        else:
            batch = BatchLoad.of(taking, pieces) if isinstance(taking, Batch) else None
            saved = operation.setup_s - place.setup_s
            added = Busy(place.start, place.end, operation.family, operation.fixture, saved, batch)
        insort(self.taken, added, key=lambda busy: busy.start)

    def _gaps(self, first: int, ready: int) -> Iterator[Gap]:
        """Yield the free stretches from ``ready`` on; ``first`` is the first taken one that ends later."""
        before = self.taken[first - 1] if first else None
        family = before.family if before else self.station.set_up_for
        fixture = before.fixture if before else self.station.set_up_fixture
        start = ready
        for busy in self.taken[first:]:
            if busy.start > start:
                yield Gap(start, family, fixture, busy)
            start, family, fixture = max(start, busy.end), busy.family, busy.fixture
        yield Gap(start, family, fixture, None)

    def _fit(self, operation: Operation, gap: Gap, work_s: int) -> Place | None:
        """Return where in a gap so much work fits, leaving what follows the set-up it would then need."""
        calendar, follower = self.station.calendar, gap.follower
        setup_s = _needed_setup(operation, gap)
        if 0 < self._longest < setup_s + work_s:
            return None
        try:
            start, end = self._stretch(gap.start, setup_s + work_s)
        except NoOpenHoursError:
            return None
        if end > self._until:
            return None
        if follower is not None:
            spoilt = follower.saved_setup_s if follower.family != operation.family or not operation.family else 0
            if end > follower.start or calendar.work_between(end, follower.start) < spoilt:
                return None
            if self._longest and calendar.work_between(follower.start - spoilt, follower.start) < spoilt:
                return None  # it would have to be set up in the same stretch
        return Place(end, self.order, start, setup_s, work_s, None)

    def _stretch(self, ready: int, needed: int) -> tuple[int, int]:
        """Return when so much set-up and work would begin and end in open hours, not broken where it must fit."""
        calendar = self.station.calendar
        start = calendar.next_open(ready)
        end = calendar.finish(start, needed)
        while self.station.over_closed is OverClosed.FIT and end - start > needed and end <= self._until:
            start = calendar.next_open(_closing(self.station, start))
            end = calendar.finish(start, needed)
        return start, end


def _needed_setup(operation: Operation, gap: Gap) -> int:
    """Return the seconds of set-up after what was done before a gap."""
    if operation.family and operation.family == gap.family:
        return 0
    if operation.fixture and operation.fixture == gap.fixture and operation.fixture_setup_s is not None:
        return operation.fixture_setup_s
    return operation.setup_s


def _closing(station: Station, second: int) -> int:
    """Return when a station closes that is open at ``second``."""
    step = 86_400
    while True:
        spans = station.calendar.spans(second, second + step)
        if spans[0].end < second + step or step > HORIZON_S:
            return spans[0].end
        step *= 2
