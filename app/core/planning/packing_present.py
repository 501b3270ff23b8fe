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
    now, calendar = packer.shop.now, packer.shop.stations[station].calendar
    rows = []
    for op, job in together:
        row = packer.ops[op]
        spent = job.worked_s
        if spent is None:
            spent = calendar.work_between(max(job.started_at, now - HORIZON_S), now)
        setup = row[a.O_SETUP] if job.in_setup else 0
        pair = row + packer.stations[station]
        work = whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, job.pieces, job.pieces, -1))
        setup_left = max(0, setup - spent)
        left = max(0, setup + work - spent)
        done = max(0, spent - setup)
        rows.append([op, station, job.pieces, setup_left, left - setup_left, done, first, int(len(together) == 1)])
    return rows
