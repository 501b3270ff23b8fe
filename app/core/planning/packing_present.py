"""Jobs under way, packed load by load."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from app.core.calendars import HORIZON_S
from app.core.planning import arrays as a
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.packer import Packer
from app.core.shop import OpenJob


def loads_under_way(packer: Packer) -> list[list[int]]:
    """Return the open jobs at stations, load by load, those of each station in the order in which they were started."""
    loads: dict[tuple[int, object], list[tuple[int, OpenJob]]] = {}
    for op, (lot, index) in enumerate(packer.operations):
        if packer.ops[op][a.O_POOL] >= 0:
            for job in packer.lots[lot].operations[index].open_jobs:
                station = packer.places[job.station]
                loads.setdefault((station, job.load or object()), []).append((op, job))
    ordered = sorted(loads.items(), key=lambda item: (item[0][0], *_begun(item[1])))
    rows: list[list[int]] = []
    for _, by_station in groupby(ordered, key=lambda item: item[0][0]):
        for (station, _), jobs in by_station:
            rows += _load_rows(packer, station, jobs, len(rows))
    return rows


def _begun(load: Sequence[tuple[int, OpenJob]]) -> tuple[int, int]:
    """Return what open loads are ordered by: their start, then the best rank in them."""
    return min(job.started_at for _, job in load), min(op for op, _ in load)


def _load_rows(packer: Packer, station: int, jobs: Iterable[tuple[int, OpenJob]], first: int) -> list[list[int]]:
    """Return the rows of one load under way."""
    together = list(jobs)
    now, hours = packer.shop.now, packer.layout.work_hours(packer.shop.stations[station])
    rows = []
    for op, job in together:
        row = packer.ops[op]
        setup = _setup(job, row[a.O_SETUP])
        spent = job.worked_s
        if spent is None:
            spent = hours.worked(max(job.started_at, now - HORIZON_S), now, setup)
        pair = row + packer.stations[station]
        work = whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, job.pieces, job.pieces, -1))
        setup_left, done = max(0, setup - spent), max(0, spent - setup)
        alone = int(len(together) == 1)
        rows.append([op, station, job.pieces, setup, setup_left, max(0, work - done), done, first, alone])
    return rows


def _setup(job: OpenJob, most: int) -> int:
    """Return all the set-up of an open job, whose operation takes ``most``."""
    if not job.in_setup:
        return 0
    return most if job.needed_setup_s is None else job.needed_setup_s
