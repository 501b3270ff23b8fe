"""Where a lot's time goes: from its finish back through what each operation waited for, to now."""

from bisect import bisect_left, bisect_right
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
    """One stretch of a station's time: a run, or a batch that several lots share.

    Attributes:
        lot: the first of them.
        start: when it begins, or the one before it ends.
        end: when it ends.
        before: attended seconds of all loads before it.
        shared: whether several lots are in it.
        kept_from: from when on its station may have waited for others of its batch; ``start`` where it did not.
    """

    lot: str
    start: int
    end: int
    before: int
    shared: bool
    kept_from: int


@dataclass(frozen=True, slots=True)
class Bench:
    """A station as chains look at it.

    Attributes:
        station: it.
        attended: gives the attended spans that overlap ``[start, end)``, whole.
        attended_s: gives the attended seconds in ``[start, end)``.
        running: gives the seconds in ``[start, end)`` in which work goes on.
        loads: what it does, ascending and apart; None where everything that it was attended for counts as busy.
        crewed: whether people limit the work.
    """

    station: Station
    attended: Callable[[int, int], list[Span]]
    attended_s: Callable[[int, int], int]
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
        used = bench.attended_s(run.ready, run.start)
        yield from _while_attended(operation, run, bench, used)
        yield from _pauses(run, bench.station, Span(run.ready, run.start), used)


def _while_attended(operation: Operation, run: Run, bench: Bench, attended_s: int) -> Iterator[Reason]:
    """Yield what an attended station did instead of a run that waited for it."""
    window = Span(run.ready, run.start)
    busy = attended_s if bench.loads is None else _busy(bench, bench.loads, window)
    yield Reason(Cause.BUSY, busy, run.operation, run.station, behind=_named(bench, window))
    idle = attended_s - busy
    too_late = _too_late(bench, run) if idle and bench.station.over_closed is OverClosed.FIT else 0
    yield Reason(Cause.MUST_FIT, too_late, run.operation, run.station)
    company = 0
    if idle > too_late:
        company = min(idle - too_late, _company(operation, run, bench) + _kept_for_others(bench, window))
    yield Reason(Cause.COMPANY, company, run.operation, run.station)
    yield Reason(_idle_cause(bench), idle - too_late - company, run.operation, run.station)


def _company(operation: Operation, run: Run, bench: Bench) -> int:
    """Return for how many seconds a batch may have waited for other lots.

    Where people can be missing too, one that came to have a single lot in it is taken to have waited for them.
    """
    if not isinstance(operation.taking, Batch):
        return 0
    loads = bench.loads or ()
    at = bisect_left(loads, run.start, key=lambda load: load.start)
    shared = at < len(loads) and loads[at].start == run.start and loads[at].shared
    return operation.taking.wait_s if shared or not bench.crewed else 0


def _kept_for_others(bench: Bench, window: Span) -> int:
    """Return for how many seconds of a window a station may have waited for the batches that it did before its end."""
    loads = bench.loads or ()
    first = bisect_right(loads, window.start, key=lambda load: load.start)
    last = bisect_left(loads, window.end, key=lambda load: load.start)
    kept = (load for load in loads[first:last] if load.kept_from < load.start)
    return sum(bench.attended_s(max(load.kept_from, window.start), load.start) for load in kept)


def _idle_cause(bench: Bench) -> Cause:
    """Return why a free and attended station leaves waiting work alone, other than for company."""
    if bench.crewed:
        return Cause.NO_PERSON
    return Cause.MUST_FIT if bench.station.over_closed is OverClosed.FIT else Cause.BUSY


def _too_late(bench: Bench, run: Run) -> int:
    """Return the idle seconds, while a run waited, from which on it would not have ended before closing."""
    window, needed = Span(run.ready, run.start), run.setup_s + run.work_s
    there = bench.attended(window.start, window.end)
    idle = without(clipped(there, window), (Span(load.start, load.end) for load in bench.loads or ()))
    tails = [Span(max(span.start, span.end - needed + 1), span.end) for span in there]
    return sum(_total(clipped(idle, tail)) for tail in tails if tail.start < tail.end)


def _busy(bench: Bench, loads: Sequence[Load], window: Span) -> int:
    """Return the attended seconds of a window in which a station has a load."""
    first = bisect_right(loads, window.start, key=lambda load: load.end)
    last = bisect_left(loads, window.end, key=lambda load: load.start) - 1
    if first > last:
        return 0
    whole = loads[last].before - loads[first].before + bench.attended_s(loads[last].start, loads[last].end)
    early = bench.attended_s(loads[first].start, window.start)
    late = bench.attended_s(window.end, loads[last].end)
    return whole - early - late


def _named(bench: Bench, window: Span) -> tuple[tuple[str, int], ...]:
    """Return the lots a station did in a window and the attended seconds each took, in order.

    A shared batch counts for the first of its lots. Of more than NAMED_AHEAD lots only the last ones are named.
    """
    named: dict[str, int] = {}
    loads = bench.loads or ()
    at = bisect_left(loads, window.end, key=lambda load: load.start) - 1
    while at >= 0 and loads[at].end > window.start:
        load = loads[at]
        if load.lot not in named and len(named) == NAMED_AHEAD:
            break
        part = bench.attended_s(max(load.start, window.start), min(load.end, window.end))
        named[load.lot] = named.get(load.lot, 0) + part
        at -= 1
    return tuple((lot, part) for lot, part in reversed(named.items()) if part)


def _running(operation: Operation, run: Run, bench: Bench | None, until: int) -> Iterator[Reason]:
    """Yield what happened in a run up to ``until``, when its end or what it sent ahead let the next one go on."""
    if bench is None:
        cause = Cause.BLANKS if isinstance(operation.taking, Purchase) else Cause.OUTSIDE
        yield Reason(cause, until - run.start, run.operation, guess=run.guess)
        return
    base = _set_up_at(bench, run, until)
    setup = bench.attended_s(run.start, base)
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
    stopped = pauses.down + pauses.service
    nobody = max(0, min(rest - stopped, opened - used))
    yield Reason(Cause.CLOSED, rest - stopped - nobody, run.operation, run.station)
    yield Reason(Cause.DOWN, pauses.down, run.operation, run.station, guess=pauses.guess)
    yield Reason(Cause.SERVICE, pauses.service, run.operation, run.station)
    yield Reason(Cause.NO_PERSON, nobody, run.operation, run.station)


def _total(spans: Iterable[Span]) -> int:
    return sum(span.end - span.start for span in spans)
