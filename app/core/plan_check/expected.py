"""When pieces of an operation that is done in batches can go into one, and since when the shop knows it.

Pieces come together when they leave the operation before together; of pieces that are sent ahead by a run as many come
together as fill a load, and its last ones whatever they are.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.core.plan_check.counts import goes_early
from app.core.plan_check.outcomes import finish_of
from app.core.plan_check.pieces import Stop, transfers
from app.core.plan_check.rows import Case, Row
from app.core.shop import Lot, Operation
from app.core.taking import Batch


@dataclass(frozen=True, slots=True)
class Coming:
    """Pieces that can go into a batch from ``ready`` on, which is known from ``known`` on."""

    ready: int
    known: int
    pieces: int


def comings(case: Case, stops: Mapping[str, list[Stop]], lot: Lot, index: int) -> list[Coming]:
    """Return what comes to a batch of a lot, in the order in which it is ready."""
    stop = stops[lot.key][index]
    taking = stop.operation.taking
    if stop.count.keeps or not isinstance(taking, Batch):
        return []
    now, operation = case.shop.now, stop.operation
    earliest, known = _missing(case, stops, lot, operation)
    found = [Coming(now, now, operation.waiting)] if operation.waiting else []
    if index:
        found += _sent_on(case, stops[lot.key][index - 1], room(taking))
    delayed = (Coming(max(one.ready, earliest), max(one.known, known), one.pieces) for one in found)
    return sorted(delayed, key=lambda one: one.ready)


def room(taking: Batch) -> int | None:
    """Return how many of its pieces one batch holds; None without a bound."""
    bounds = [] if taking.max_pieces is None else [taking.max_pieces]
    if taking.max_weight_g is not None:
        bounds.append(taking.max_weight_g // taking.piece_weight_g)
    return min(bounds, default=None)


def _missing(case: Case, stops: Mapping[str, list[Stop]], lot: Lot, operation: Operation) -> tuple[int, int]:
    """Return until when an operation waits for what is not its own pieces, and since when that is known."""
    earliest, known = max(case.shop.now, lot.released), case.shop.now
    if operation.not_before is not None and operation.not_before.time is not None:
        earliest = max(earliest, operation.not_before.time)
    for key in operation.components:
        if key in case.lots:
            earliest = max(earliest, finish_of(case, stops[key]))
            known = max([known, *(row.run.start for stop in stops[key][-1:] for row in stop.rows)])
    return earliest, known


def _sent_on(case: Case, before: Stop, most: int | None) -> Iterator[Coming]:
    """Yield the pieces that come from the operation before."""
    now, operation = case.shop.now, before.operation
    if not goes_early(operation):
        if before.gone:
            yield Coming(before.gone[0], max([now, *(row.run.start for row in before.rows)]), len(before.gone))
        return
    if operation.counted > 0:
        yield Coming(now, now, operation.counted)
    for row in before.begun:
        yield from _of_run(case, row, now, most)
    for row in before.rows:
        yield from _of_run(case, row, row.run.start, most)


def _of_run(case: Case, row: Row, known: int, most: int | None) -> Iterator[Coming]:
    """Yield what a run sends ahead, a load at a time."""
    waiting = 0
    for second, pieces in _parts(case, row):
        waiting += pieces
        if most is not None and waiting >= most:
            yield Coming(second, known, waiting)
            waiting = 0
    if waiting:
        yield Coming(row.run.end, known, waiting)


def _parts(case: Case, row: Row) -> Iterable[tuple[int, int]]:
    """Return the transfers of a run, each with its pieces."""
    alone = row.station is not None and not (row.run.under_way and row.shared)
    step = row.operation.send_ahead if alone and row.operation.send_ahead is not None else row.run.pieces
    seconds = transfers(case, row)
    return [(seconds[first], len(seconds[first : first + step])) for first in range(0, len(seconds), step)]
