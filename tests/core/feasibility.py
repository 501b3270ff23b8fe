"""Proves a forecast against the shop it was made from, piece by piece, sharing no code with what made it.

The shops it can check have whole quarters of an hour, as ``reckoning`` says, and no more than some dozens of pieces.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from app.core.forecast import Cause, Forecast, LotForecast, Run, Status
from app.core.shop import Batch, LeadTime, Lot, OpenJob, Operation, Purchase, Shop, Station
from tests.core.reckoning import (
    QUARTER,
    back_from_outside,
    open_seconds,
    piece_times,
    quarter_is_open,
    when_done,
    whole_seconds,
)


def violations(shop: Shop, forecast: Forecast) -> list[str]:
    """Return a sentence for every rule that the forecast breaks."""
    return [
        *_station_violations(shop, forecast),
        *_waiting_violations(shop, forecast),
        *(line for lot in shop.lots for line in lot_violations(shop, lot, forecast.lots[lot.key])),
        *(line for planned in forecast.lots.values() for line in _behind_violations(planned)),
    ]


# What a station does.


def _station_violations(shop: Shop, forecast: Forecast) -> Iterator[str]:
    operations = _operations(shop)
    for station in shop.stations:
        loads = list(_loads(forecast.stations[station.key]).values())
        for before, after in pairwise(loads):
            if after[0].start < before[0].end:
                yield f"{station.key} does {before[0]} and {after[0]} at once"
        family = station.set_up_for
        for load in loads:
            kinds = [operations[run.lot, run.operation] for run in load]
            yield from _time_violations(shop, station, load[0], kinds[0])
            yield from _sharing_violations(load, kinds)
            if load[0].under_way:
                yield from _rest_violations(shop, station, load[0], kinds[0])
            else:
                yield from _work_violations(station, load, kinds, family)
            family = kinds[0].family


def _operations(shop: Shop) -> dict[tuple[str, str], Operation]:
    return {(lot.key, operation.key): operation for lot in shop.lots for operation in lot.operations}


def _loads(runs: Sequence[Run]) -> dict[int, list[Run]]:
    loads = defaultdict(list)
    for run in runs:
        loads[run.load].append(run)
    return loads


def _time_violations(shop: Shop, station: Station, run: Run, operation: Operation) -> Iterator[str]:
    """The run lies after now and after its pieces, in open time, which is all spent on it."""
    hours = station.calendar.hours
    if not shop.now <= run.arrived <= run.ready <= run.start <= run.end:
        yield f"out of order: {run}"
    if open_seconds(hours, run.start, run.end) != run.setup_s + run.work_s:
        yield f"open time and work differ: {run}"
    if run.end > run.start and not quarter_is_open(hours, (run.end - 1) // QUARTER):
        yield f"ends while closed: {run}"
    if not run.under_way and not quarter_is_open(hours, run.start // QUARTER):
        yield f"starts while closed: {run}"
    if not run.under_way and not _can_do(station, operation):
        yield f"{station.key} cannot do {run}"


def _work_violations(station: Station, load: list[Run], kinds: list[Operation], family: str | None) -> Iterator[str]:
    """Set-up and work take what they should."""
    needed = 0 if kinds[0].family and kinds[0].family == family else kinds[0].setup_s
    for run, operation in zip(load, kinds, strict=True):
        if run.setup_s != needed:
            yield f"wrong set-up after {family}: {run}"
        if run.work_s != whole_seconds(max(piece_times(operation, station, run.pieces)[1])):
            yield f"wrong time: {run}"


def _rest_violations(shop: Shop, station: Station, run: Run, operation: Operation) -> Iterator[str]:
    """A job under way takes what is left of its work."""
    job = _job_of(operation, run)
    work = (operation.setup_s if job.in_setup else 0) + whole_seconds(
        max(piece_times(operation, station, run.pieces)[1])
    )
    if job.load is None and run.setup_s + run.work_s != max(0, work - _spent(shop, station, job)):
        yield f"wrong rest of {job}: {run}"


def _sharing_violations(load: list[Run], kinds: list[Operation]) -> Iterator[str]:
    """Only batches of one recipe are shared, and not beyond their bounds."""
    if len({(run.start, run.end, run.setup_s, run.work_s) for run in load}) > 1:
        yield f"the runs of one load differ: {load}"
    if load[0].under_way:
        return  # what is in it is what people put in
    batches = [operation.taking for operation in kinds if isinstance(operation.taking, Batch)]
    if len(load) > 1 and (len(batches) < len(load) or len({batch.recipe for batch in batches}) > 1):
        yield f"not of one recipe: {load}"
    pieces = sum(run.pieces for run in load)
    weight = sum(run.pieces * batch.piece_weight_g for run, batch in zip(load, batches, strict=False))
    for batch in batches:
        if pieces > (batch.max_pieces or pieces) or weight > (batch.max_weight_g or weight):
            yield f"too much in a batch: {load}"


def _can_do(station: Station, operation: Operation) -> bool:
    return station.key in (operation.stations or [station.key]) and (
        bool(operation.stations) or station.work_center == operation.work_center
    )


def _waiting_violations(shop: Shop, forecast: Forecast) -> Iterator[str]:
    """No run goes before one of higher rank that waits, and no station is free and open while work waits for it."""
    operations = _operations(shop)
    place = {lot.key: number for number, lot in enumerate(sorted(shop.lots, key=_order))}
    waiting = [run for runs in forecast.stations.values() for run in runs if not run.under_way]
    for station in shop.stations:
        loads = [load[0] for load in _loads(forecast.stations[station.key]).values()]
        for rival in waiting:
            if not _can_do(station, operations[rival.lot, rival.operation]):
                continue
            for run in loads:
                passed_over = rival.ready <= run.start < rival.start and place[rival.lot] < place[run.lot]
                if passed_over and not run.under_way:
                    yield f"{run} goes before {rival}"
            hours = station.calendar.hours
            busy = sum(open_seconds(hours, max(r.start, rival.ready), min(r.end, rival.start)) for r in loads)
            if busy < open_seconds(hours, rival.ready, rival.start):
                yield f"{station.key} is free while {rival} waits"


def _order(lot: Lot) -> tuple[int, int, int, int, str, str]:
    far = 10**18
    pinned, due = (far if value is None else value for value in (lot.pinned, lot.due))
    return pinned, 0 if lot.rush else 1, due, lot.released, lot.number, lot.key


# What becomes of a lot.


def lot_violations(shop: Shop, lot: Lot, planned: LotForecast) -> Iterator[str]:
    """Yield a sentence for every rule that the plan of a lot breaks, whatever the stations do besides."""
    is_planned = planned.status is Status.PLANNED
    if not is_planned and (planned.finish is not None or planned.chain or not planned.obstacle):
        yield f"{lot.key} is {planned.status} and yet {planned}"
    if lot.hold is not None:
        yield from (f"{lot.key} is on hold and planned" for one in planned.operations if one.runs)
        return
    reached: list[int] = []
    for operation, one in zip(lot.operations, planned.operations, strict=True):
        yield from _piece_violations(shop, operation, one.runs, reached)
        yield from _outside_violations(shop, operation, one.runs)
        expected = len(reached) + operation.waiting + operation.in_work
        done = sum(run.pieces for run in one.runs)
        if done > expected or (is_planned and done < expected):
            yield f"{lot.key} {operation.key}: {done} of {expected} pieces are done"
        reached = _gone(shop, operation, one.runs) if done == expected or _passes_early(operation) else []
    if is_planned:
        if planned.finish != max([shop.now, *reached]):
            yield f"{lot.key} finishes at {planned.finish}, its pieces at {max([shop.now, *reached])}"
        yield from _chain_violations(shop, planned)


def _passes_early(operation: Operation) -> bool:
    return operation.send_ahead is not None or isinstance(operation.taking, Purchase)


def _piece_violations(shop: Shop, operation: Operation, runs: Sequence[Run], reached: list[int]) -> Iterator[str]:
    """No piece is taken up before it is there, and nothing starts without what else it needs."""
    there = sorted([shop.now] * operation.waiting + reached)
    if isinstance(operation.taking, Purchase):
        there = sorted([*there, *[shop.now] * operation.in_work])
    for run in sorted((run for run in runs if not _was_begun(operation, run)), key=lambda run: run.start):
        mine, there = there[: run.pieces], there[run.pieces :]
        missing = operation.not_before
        if missing is not None and (missing.time is None or run.start < missing.time):
            yield f"starts without {operation.not_before.what}: {run}"
        if len(mine) < run.pieces:
            yield f"has more pieces than reach it: {run}"
            continue
        late = sum(_is_late(shop, operation, run, index, piece) for index, piece in enumerate(mine))
        if late:
            yield f"{late} pieces come too late for {run}"


def _was_begun(operation: Operation, run: Run) -> bool:
    """Whether the pieces of a run were in work before the forecast was made."""
    outside = isinstance(operation.taking, LeadTime) and any(job.pieces == run.pieces for job in operation.open_jobs)
    return run.under_way or outside


def _is_late(shop: Shop, operation: Operation, run: Run, index: int, there: int) -> bool:
    station = _station(shop, run)
    if there <= run.start or station is None:
        return there > run.start
    up, _ = piece_times(operation, station, run.pieces)
    return open_seconds(station.calendar.hours, run.start, there) * 1000 > run.setup_s * 1000 + up[index]


def _station(shop: Shop, run: Run) -> Station | None:
    return next((station for station in shop.stations if station.key == run.station), None)


def _outside_violations(shop: Shop, operation: Operation, runs: Sequence[Run]) -> Iterator[str]:
    """What comes from outside comes when it is expected."""
    if isinstance(operation.taking, Purchase):
        expected = sorted(
            (max(one.time, shop.now), one.pieces) for one in operation.taking.arrivals for _ in range(one.pieces)
        )
        came = sorted(run.end for run in runs for _ in range(run.pieces))
        if any(end < time for end, (time, _) in zip(came, expected, strict=False)):
            yield f"blanks come before they are expected: {runs}"
    if isinstance(operation.taking, LeadTime):
        for run in runs:
            back = back_from_outside(shop.receiving.hours, run.start, operation.taking)
            if not _was_begun(operation, run) and run.end != back:
                yield f"is not back at {back}: {run}"


def _gone(shop: Shop, operation: Operation, runs: Sequence[Run]) -> list[int]:
    """Return when each piece leaves an operation."""
    if not _passes_early(operation):
        end = max((run.end for run in runs), default=shop.now)
        return [end] * (sum(run.pieces for run in runs) + operation.counted)
    gone = [shop.now] * operation.counted
    for run in runs:
        gone += _gone_ahead(shop, operation, run)
    return gone


def _gone_ahead(shop: Shop, operation: Operation, run: Run) -> list[int]:
    """Return when each piece of a run leaves it, transfer by transfer."""
    station = _station(shop, run)
    if station is None:
        return [run.end] * run.pieces
    hours, before_work = station.calendar.hours, run.setup_s
    if run.under_way:
        job = _job_of(operation, run)
        if job.load is not None:
            return [run.end] * run.pieces
        before_work = (operation.setup_s if job.in_setup else 0) - _spent(shop, station, job)
    _, done = piece_times(operation, station, run.pieces)
    step, gone = operation.send_ahead or run.pieces, []
    for first in range(0, run.pieces, step):
        last = min(first + step, run.pieces) - 1
        when = when_done(hours, run.start, max(0, before_work + whole_seconds(done[last])))
        gone += [when] * (last - first + 1)
    return gone


def _job_of(operation: Operation, run: Run) -> OpenJob:
    return next(job for job in operation.open_jobs if (job.station, job.pieces) == (run.station, run.pieces))


def _spent(shop: Shop, station: Station, job: OpenJob) -> int:
    return open_seconds(station.calendar.hours, job.started_at, shop.now) if job.worked_s is None else job.worked_s


def _chain_violations(shop: Shop, planned: LotForecast) -> Iterator[str]:
    """The reasons add up to the finish."""
    told = sum(reason.seconds for reason in planned.chain)
    if told != (planned.finish or 0) - shop.now:
        yield f"the reasons of {planned.key} add up to {told}"
    yield from (f"a reason without time: {reason}" for reason in planned.chain if reason.seconds <= 0)


def _behind_violations(planned: LotForecast) -> Iterator[str]:
    """The lots ahead at a busy station take the time that it is waited for."""
    for reason in planned.chain:
        ahead = sum(seconds for _, seconds in reason.behind)
        if reason.cause is Cause.BUSY and ahead != reason.seconds and len(reason.behind) < 20:
            yield f"{ahead} seconds ahead: {reason}"
