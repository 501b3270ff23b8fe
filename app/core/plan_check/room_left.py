"""What a batch leaves behind: of what waits it takes each whole, by rank, until nothing more fits.

Ranks are not asked for: in whatever order it was offered what waits, nothing is left that would still go whole into
what became of it. Where what is left might not be done at the station by itself, or so much waits that the station
need not look at all of it, or its lot is not planned to its end, nothing is said.
"""

from collections.abc import Iterator, Sequence
from math import inf

from app.core.plan_check.at_stations import can_do
from app.core.plan_check.counts import PLANNED
from app.core.plan_check.needs import tended
from app.core.plan_check.rows import Case, Load
from app.core.plan_check.sharers import LOOK, Filling, Sharer
from app.core.plan_check.violations import Rule, Violation, of_run


def violations(case: Case, found: Sequence[Sharer]) -> Iterator[Violation]:
    """Yield each batch that was begun without what waited and fits."""
    by_row = {row: sharer for sharer in found for row in sharer.rows}
    for station in case.shop.stations:
        able = [one for one in found if can_do(station, one.operation) and case.status_of(one.lot.key) == PLANNED]
        for load in case.loads[station.key]:
            inside = [by_row[row] for row in load.rows if row in by_row]
            if not load.run.under_way and len(inside) == len(load.rows):
                yield from _left_behind(load, inside, able)


def _left_behind(load: Load, inside: Sequence[Sharer], able: Sequence[Sharer]) -> Iterator[Violation]:
    start, filled = load.run.start, Filling(0, 0, inf, inf, inf)
    for sharer, row in zip(inside, load.rows, strict=True):
        filled = filled.and_more(sharer, row.run.pieces)
    beside = [each for each in able if each not in inside and each.mixes_with(inside[0]) and _waits(each, start)]
    if len(beside) > LOOK:
        return
    for each in beside:
        pieces, _ = each.waiting((start, True))
        if filled.takes(each, pieces) and _asks_for_no_more(each, load):
            told = f"{pieces} pieces of lot {each.lot.key} wait and go into it"
            yield of_run(Rule.BATCH_ROOM, load.run, told)


def _waits(sharer: Sharer, start: int) -> bool:
    """Tell whether pieces wait when a batch begins, and none of them begins elsewhere in the same second."""
    return sharer.waiting((start, True))[0] > 0 and all(row.run.start != start for row in sharer.rows)


def _asks_for_no_more(sharer: Sharer, load: Load) -> bool:
    """Tell whether an operation asks for no more set-up and no more of a person than the first of a load."""
    first, station = load.first, load.first.station
    return sharer.operation.setup_s <= load.run.setup_s and tended(sharer.operation, station) <= tended(
        first.operation, station
    )
