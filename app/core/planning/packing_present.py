"""Jobs under way, packed load by load."""

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from app.core.calendars import HORIZON_S
from app.core.planning import arrays as a
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.packer import Packer
from app.core.shop import OpenJob
from app.core.work_hours import WorkHours


class _Begun(NamedTuple):
    """An open job of an operation, with the seconds that its whole run takes, and the pieces counted of it."""

    op: int
    job: OpenJob
    setup_s: int
    work_s: int
    counted_s: int

    @property
    def whole_s(self) -> int:
        """All seconds of the run."""
        return self.setup_s + self.work_s


def loads_under_way(packer: Packer) -> list[list[int]]:
    """Return the open jobs at stations, load by load, those of each station in the order in which they were started."""
    loads: dict[tuple[int, object], list[_Begun]] = {}
    for op, (lot, index) in enumerate(packer.operations):
        if packer.ops[op][a.O_POOL] >= 0:
            for job in packer.lots[lot].operations[index].open_jobs:
                station = packer.places[job.station]
                loads.setdefault((station, job.load or object()), []).append(_begun(packer, op, station, job))
    ordered = sorted(loads.items(), key=lambda item: (item[0][0], *_order(item[1])))
    rows: list[list[int]] = []
    for station, of_station in groupby(ordered, key=lambda item: item[0][0]):
        together = [load for _, load in of_station]
        hours = packer.layout.work_hours(packer.shop.stations[station])
        behind = _seconds_behind(hours, packer.shop.now, together)
        for load, spent in zip(together, behind, strict=True):
            first, alone = len(rows), int(len(load) == 1)
            rows += [_row(station, begun, spent[place], first, alone) for place, begun in enumerate(load)]
    return rows


def _begun(packer: Packer, op: int, station: int, job: OpenJob) -> _Begun:
    row, whole = packer.ops[op], job.counted + job.pieces
    pair = row + packer.stations[station]
    work, counted = (
        whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, pieces, whole, -1)) if pieces else 0
        for pieces in (whole, job.counted)
    )
    setup = (row[a.O_SETUP] if job.needed_setup_s is None else job.needed_setup_s) if job.in_setup else 0
    return _Begun(op, job, setup, work, counted)


def _order(load: Sequence[_Begun]) -> tuple[int, int]:
    """Return what open loads are ordered by: their start, then the best rank in them."""
    return min(begun.job.started_at for begun in load), min(begun.op for begun in load)


def _seconds_behind(hours: WorkHours, now: int, loads: Sequence[Sequence[_Begun]]) -> list[list[int]]:
    """Return the seconds that each job of a station's loads has behind it.

    Where that is not told, the hours of the station belong to one load after another; what is over when the last of
    them should be done is the last one's.
    """
    by_hours = [place for place, load in enumerate(loads) if any(begun.job.worked_s is None for begun in load)]
    free, found = now - HORIZON_S, []
    for place, load in enumerate(loads):
        behind, over = [], free
        for begun in load:
            spent = begun.job.worked_s
            if spent is None:
                start = max(begun.job.started_at, free)
                spent, done_at = hours.spent(start, now, begun.setup_s, begun.work_s)
                over = max(over, done_at)
                if spent == begun.whole_s and place == by_hours[-1]:
                    spent = hours.worked(start, now, begun.setup_s)
            behind.append(spent)
        found.append(behind)
        free = over
    return found


def _row(station: int, begun: _Begun, spent: int, first: int, alone: int) -> list[int]:
    """Return the row of a job that has so many seconds behind it."""
    job, done = begun.job, max(0, spent - begun.setup_s)
    return [
        begun.op,
        station,
        job.pieces,
        job.counted,
        begun.setup_s,
        max(0, begun.setup_s - spent),
        max(0, begun.work_s - done),
        done - begun.counted_s,
        first,
        alone,
    ]
