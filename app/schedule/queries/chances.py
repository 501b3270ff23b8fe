"""The chances of being late: as simulated, and as stored."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.core.chances.simulation import Simulation
from app.schedule.models import ChanceRun, LotChance
from app.schedule.queries.hours import moment_of
from app.schedule.queries.snapshot import Snapshot

ONLY_ROW = 1


@dataclass(frozen=True, slots=True)
class Chances:
    """What the replications of a snapshot say; ``seen`` finished operations taught them their spreads."""

    snapshot: Snapshot
    simulation: Simulation
    took_ms: int
    seen: int


def chance_run(found: Chances) -> ChanceRun:
    """Return what is to be stored of the run itself."""
    return ChanceRun(
        id=ONLY_ROW,
        change_number=found.snapshot.change_number,
        computed_at=found.snapshot.now,
        took_ms=found.took_ms,
        replications=len(found.simulation.tardiness),
        seen=found.seen,
    )


def chance_rows(found: Chances) -> Iterator[LotChance]:
    """Yield what is to be stored of each lot."""
    for lot in found.simulation.lots:
        median, likely, sure = (lot.finish(share) for share in (0.5, 0.8, 0.95))
        late, error = lot.chance_late, lot.standard_error
        yield LotChance(
            lot_id=found.snapshot.lots[lot.lot].row.id,
            median_at=None if median is None else moment_of(median),
            likely_at=None if likely is None else moment_of(likely),
            sure_at=None if sure is None else moment_of(sure),
            late_permille=None if late is None else round(1000 * late),
            error_permille=None if error is None else round(1000 * error),
        )
