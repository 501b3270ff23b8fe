"""Where each piece of a lot is at each moment: nothing is worked on that is not there, and nothing is lost."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.core.plan_check.counts import Count, goes_early
from app.core.plan_check.faults import needs_station
from app.core.plan_check.hours import StationHours
from app.core.plan_check.outside import was_sent_out
from app.core.plan_check.rows import Case, Row
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import largest_run, whole_seconds
from app.core.shop import Lot, Operation
from app.core.taking import Batch, Purchase


@dataclass(eq=False, slots=True)
class Stop:
    """An operation of a lot: the pieces that come to it and those that leave it.

    Attributes:
        there: for each piece that is not in work, the second from which it is there, ascending.
        begun: runs whose pieces were in work before the plan.
        rows: the other runs, by start.
        gone: for each piece that goes on, when it does.
    """

    operation: Operation
    count: Count
    there: list[int]
    begun: list[Row]
    rows: list[Row]
    gone: list[int]

    @property
    def done(self) -> int:
        """How many pieces the plan has done here."""
        return sum(row.run.pieces for row in (*self.begun, *self.rows))

    @property
    def most_in_one(self) -> int:
        """How many pieces one run has at most."""
        return largest_run(self.operation, self.count.coming)

    @property
    def left(self) -> int:
        """How many pieces that are there and could be done are not."""
        in_work = 0 if isinstance(self.operation.taking, Purchase) else self.operation.in_work
        return min(self.count.most, len(self.there) + in_work) - self.done


def stops(case: Case, lot: Lot, counts: Sequence[Count]) -> list[Stop]:
    """Follow the pieces of a lot through its operations, of which is known what each has to do."""
    reached: list[int] = []
    found = []
    for index, (operation, count) in enumerate(zip(lot.operations, counts, strict=True)):
        here = operation.waiting + (operation.in_work if isinstance(operation.taking, Purchase) else 0)
        rows = case.rows_of(lot.key, index)
        begun = [row for row in rows if row.run.under_way or was_sent_out(case, row)]
        there = sorted([case.shop.now] * max(0, here) + reached)
        stop = Stop(operation, count, there, begun, [row for row in rows if row not in begun], [])
        stop.gone = _gone(case, stop)
        reached = stop.gone
        found.append(stop)
    return found


def _gone(case: Case, stop: Stop) -> list[int]:
    """Return when each piece leaves an operation."""
    operation, now, rows = stop.operation, case.shop.now, [*stop.begun, *stop.rows]
    counted = max(0, operation.counted)
    if goes_early(operation):
        return [now] * counted + [second for row in rows for second in transfers(case, row)]
    if stop.count.keeps or stop.done < stop.count.coming:
        return []
    return [max([now, *(row.run.end for row in rows)])] * (stop.done + counted)


def transfers(case: Case, row: Row) -> list[int]:
    """Return when each piece of a run goes on, ``send_ahead`` of them at a time."""
    step, pieces = row.operation.send_ahead, row.run.pieces
    if step is None or row.station is None or (row.run.under_way and row.shared):
        return [row.run.end] * pieces
    running = case.hours[row.station.key].running
    gone: list[int] = []
    for first in range(0, pieces, step):
        last = min(first + step, pieces) - 1
        work = row.seconds_before + whole_seconds(row.work.done[last])
        gone += [running.done_at(row.work_from, work)] * (last + 1 - first)
    return gone


def taken_up(case: Case, row: Row) -> list[int]:
    """Return for each piece of a run the last second at which it may come."""
    run = row.run
    if row.station is None or isinstance(row.operation.taking, Batch):
        return [run.start] * run.pieces
    return [_last_moment(case.hours[row.station.key], row, up) for up in row.work.taken_up]


def _last_moment(hours: StationHours, row: Row, up_ms: int) -> int:
    if row.mixed_in and up_ms == 0:
        return row.run.start
    return hours.running.next(hours.running.done_at(row.work_from, up_ms // 1000))


def violations(lot: Lot, stops_of_lot: list[Stop], case: Case) -> Iterator[Violation]:
    """Yield what is wrong with the pieces of a lot."""
    for index, stop in enumerate(stops_of_lot):
        yield from _count_violations(lot, index, stop)
        yield from _there_violations(case, stop)
        for row in stop.rows:
            if needs_station(stop.operation) and row.run.pieces > stop.most_in_one:
                told = f"{row.run.pieces} pieces where one run has at most {stop.most_in_one}"
                yield of_run(Rule.SPLIT, row.run, told)


def _count_violations(lot: Lot, index: int, stop: Stop) -> Iterator[Violation]:
    if lot.hold is not None:
        for row in (*stop.begun, *stop.rows):
            yield of_run(Rule.HOLD, row.run, "the lot is on hold")
        return
    if stop.done > stop.count.most:
        rule = Rule.HOLD if stop.operation.held else Rule.COUNT
        yield Violation(rule, f"{stop.done} pieces are done instead of {stop.count.most}", lot.key, index)


def _there_violations(case: Case, stop: Stop) -> Iterator[Violation]:
    """The pieces taken up by any moment have all come by then."""
    needed = [(moment, row.run.start, n) for n, row in enumerate(stop.rows) for moment in _moments(case, stop, row)]
    told: set[Row] = set()
    for place, (moment, _, n) in enumerate(sorted(needed)):
        row = stop.rows[n]
        if row in told:
            continue
        if place >= len(stop.there):
            told.add(row)
            yield of_run(Rule.PIECES, row.run, "has more pieces than ever come")
        elif stop.there[place] > moment:
            told.add(row)
            yield of_run(Rule.PIECES, row.run, f"takes up a piece at {moment} that comes at {stop.there[place]}")


def _moments(case: Case, stop: Stop, row: Row) -> list[int]:
    """Return the moments at which a run takes up its pieces; its start for all of them where that is early enough."""
    if stop.there and len(stop.there) >= sum(one.run.pieces for one in stop.rows) and stop.there[-1] <= row.run.start:
        return [row.run.start] * row.run.pieces
    return taken_up(case, row)
