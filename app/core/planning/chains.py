"""Where a lot's time goes: from its finish back through what each operation waited for, to now."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from app.core.planning.results import Cause, Reason, Run
from app.core.shop import Batch, Lot, Operation, OverClosed, Purchase, Station
from app.core.worktime import Span, clipped, without

NAMED_AHEAD: Final = 20
"""So many lots ahead at a busy station are named; nobody reads more."""


@dataclass(frozen=True, slots=True)
class Load:
    """One stretch of a station's time: a run, or a batch that several lots share; ``lot`` is the first of them."""

    lot: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Bench:
    """A station as chains look at it.

    Attributes:
        station: it.
        attended: gives the attended spans that overlap ``[start, end)``, whole.
        running: gives the seconds in ``[start, end)`` in which work goes on.
        loads: what it does, ascending; None where everything that it was attended for counts as busy.
        crewed: whether people limit the work.
    """

    station: Station
    attended: Callable[[int, int], list[Span]]
    running: Callable[[int, int], int]
    loads: Sequence[Load] | None
    crewed: bool = False


def chain(lot: Lot, last: Run | None, finish: int, now: int, benches: Mapping[str, Bench]) -> tuple[Reason, ...]:
    """Return the reasons between now and the lot's finish; their seconds add up to it exactly.

    The way is the one that decided: from each run back to the one its pieces came from, as far as they were waited for.
    """
    operations = {operation.key: operation for operation in lot.operations}
    stretches: list[list[Reason]] = []
    run, until = last, finish
    while run is not None:
        operation = operations[run.operation]
        bench = benches[run.station] if run.station is not None else None
        stretches.append([*_waiting(lot, operation, run, bench), *_running(operation, run, bench, until)])
        until, run = run.arrived, run.after
        if run is None:
            first = stretches[-1][0].operation if stretches[-1] else ""
            stretches.append([Reason(Cause.RELEASE, until - now, first)])
    return tuple(reason for stretch in reversed(stretches) for reason in stretch if reason.seconds)


def _waiting(lot: Lot, operation: Operation, run: Run, bench: Bench | None) -> Iterator[Reason]:
    """Yield what a run waited for after its pieces had arrived: release or components, then its station."""
    missing = operation.not_before
    awaited = missing is not None and missing.time is not None and missing.time >= run.ready
    if lot.released >= run.ready and not awaited:
        yield Reason(Cause.RELEASE, run.ready - run.arrived, run.operation, run.station)
    else:
        what = missing.what if missing is not None else ", ".join(operation.components)
        guess = missing is not None and missing.guess
        yield Reason(Cause.COMPONENTS, run.ready - run.arrived, run.operation, run.station, what=what, guess=guess)
    if bench is not None and run.start > run.ready:
        there = bench.attended(run.ready, run.start)
        yield from _while_attended(operation, run, bench, there)
        used = _total(clipped(there, Span(run.ready, run.start)))
        yield from _pauses(run, bench.station, Span(run.ready, run.start), used)


def _while_attended(operation: Operation, run: Run, bench: Bench, there: Sequence[Span]) -> Iterator[Reason]:
    """Yield what an attended station did instead of a run that waited for it."""
    window = Span(run.ready, run.start)
    if bench.loads is None:
        yield Reason(Cause.BUSY, _total(clipped(there, window)), run.operation, run.station)
        return
    ahead = list(_ahead(bench.loads, window))
    busy = [Span(load.start, load.end) for load in ahead]
    idle = without(clipped(there, window), busy)
    taken = _total(clipped(there, window)) - _total(idle)
    yield Reason(Cause.BUSY, taken, run.operation, run.station, behind=_named(ahead, there))
    too_late = _too_late(idle, there, run) if bench.station.over_closed is OverClosed.FIT else 0
    yield Reason(Cause.MUST_FIT, too_late, run.operation, run.station)
    yield Reason(_idle_cause(operation, bench), _total(idle) - too_late, run.operation, run.station)


def _idle_cause(operation: Operation, bench: Bench) -> Cause:
    """Return why a free and attended station leaves waiting work alone."""
    if isinstance(operation.taking, Batch) and operation.taking.wait_s:
        return Cause.COMPANY
    if bench.crewed:
        return Cause.NO_PERSON
    return Cause.MUST_FIT if bench.station.over_closed is OverClosed.FIT else Cause.BUSY


def _too_late(idle: Iterable[Span], there: Sequence[Span], run: Run) -> int:
    """Return the idle seconds from which on a run would not have ended before closing."""
    needed = run.setup_s + run.work_s
    tails = [Span(max(span.start, span.end - needed + 1), span.end) for span in there]
    return sum(_total(clipped(idle, tail)) for tail in tails if tail.start < tail.end)


def _ahead(loads: Sequence[Load], window: Span) -> Iterator[Load]:
    """Yield the loads inside a window, latest first, none of them longer than to the start of the one after it."""
    until = window.end
    for at in range(bisect_right(loads, window.end, key=lambda load: load.start) - 1, -1, -1):
        load = loads[at]
        start, end = max(load.start, window.start), min(load.end, until)
        if start < end:
            yield Load(load.lot, start, end)
            until = start
        elif load.end <= window.start and load.start < load.end:
            return


def _named(ahead: Iterable[Load], there: Sequence[Span]) -> tuple[tuple[str, int], ...]:
    """Return the lots a station did meanwhile and the attended seconds each took, in order.

    A shared batch counts for the first of its lots. Of more than NAMED_AHEAD lots only the last ones are named.
    """
    named: dict[str, int] = {}
    for load in ahead:
        if load.lot not in named and len(named) == NAMED_AHEAD:
            break
        named[load.lot] = named.get(load.lot, 0) + _total(clipped(there, Span(load.start, load.end)))
    return tuple((lot, part) for lot, part in reversed(named.items()) if part)


def _running(operation: Operation, run: Run, bench: Bench | None, until: int) -> Iterator[Reason]:
    """Yield what happened in a run up to ``until``, when its end or what it sent ahead let the next one go on."""
    if bench is None:
        cause = Cause.BLANKS if isinstance(operation.taking, Purchase) else Cause.OUTSIDE
        yield Reason(cause, until - run.start, run.operation, guess=run.guess)
        return
    base = _set_up_at(bench, run, until)
    setup = _total(clipped(bench.attended(run.start, base), Span(run.start, base)))
    work = bench.running(base, until)
    yield Reason(Cause.SETUP, setup, run.operation, run.station)
    yield Reason(Cause.RUNNING, work, run.operation, run.station)
    yield from _pauses(run, bench.station, Span(run.start, until), setup + work)


def _set_up_at(bench: Bench, run: Run, until: int) -> int:
    """Return when the set-up of a run is done."""
    left, at = run.setup_s, run.start
    if not left:
        return at
    for span in bench.attended(run.start, until):
        begin = max(span.start, run.start)
        if begin + left <= span.end:
            return min(begin + left, until)
        left -= span.end - begin
    return until


def _pauses(run: Run, station: Station, window: Span, used: int) -> Iterator[Reason]:
    """Yield the time of a window that was not ``used``: the station was closed or down, or nobody was there."""
    pauses = station.calendar.pauses(window.start, window.end)
    rest = window.end - window.start - used
    opened = station.calendar.work_between(window.start, window.end)
    nobody = max(0, min(rest - pauses.down, opened - used))
    yield Reason(Cause.CLOSED, rest - pauses.down - nobody, run.operation, run.station)
    yield Reason(Cause.DOWN, pauses.down, run.operation, run.station, guess=pauses.guess)
    yield Reason(Cause.NO_PERSON, nobody, run.operation, run.station)


def _total(spans: Iterable[Span]) -> int:
    return sum(span.end - span.start for span in spans)
