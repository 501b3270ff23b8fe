"""Lots that can run together in one batch."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.queries.weights import units_of
from app.lots.models import Job, Lot, LotOperation
from app.lots.queries.planned import batch_pieces
from app.parts.models import Revision, Taking
from app.shared.units import shown_weight
from app.stations.models import Station

OFFERED = 12


@dataclass(frozen=True, slots=True)
class BatchBounds:
    """What the collected lots add up to, against what one batch holds; weights as shown, empty: not bounded."""

    pieces: int
    most_pieces: int
    weight: str
    most_weight: str
    too_much: bool


def batch_candidates(session: orm.Session, station: Station, collected: Sequence[int]) -> list[LotOperation]:
    """Return operations that run in batches and wait here, with the recipe of those collected; one statement."""
    wanted = (
        sa.select(LotOperation)
        .join(LotOperation.lot)
        .where(
            LotOperation.work_center_id == station.work_center_id,
            LotOperation.taking == Taking.BATCH,
            LotOperation.waiting > 0,
            LotOperation.id.not_in(collected),
            LotOperation.id.not_in(sa.select(Job.operation_id).where(Job.station_id == station.id)),
            Lot.hold_reason == "",
        )
        .order_by(Lot.pin.is_(None), Lot.pin, Lot.rush.desc(), Lot.due_on.is_(None), Lot.due_on, Lot.number)
        .limit(OFFERED)
        .options(orm.contains_eager(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part))
    )
    first = session.get(LotOperation, collected[0]) if collected else None
    if first is not None:
        wanted = wanted.where(LotOperation.recipe == first.recipe, LotOperation.cycle_ms == first.cycle_ms)
    return list(session.scalars(wanted))


def batch_bounds(session: orm.Session, operations: Sequence[LotOperation]) -> BatchBounds | None:
    """Return what the collected operations add up to; None for an empty batch."""
    if not operations:
        return None
    units = units_of(session)
    grams = [each.lot.revision.piece_grams for each in operations]
    taken = [min(each.waiting, batch_pieces(each, gram)) for each, gram in zip(operations, grams, strict=True)]
    total = sum(count * gram for count, gram in zip(taken, grams, strict=True))
    most = min(each.load_pieces for each in operations)
    bound = min((each.batch_grams for each in operations if each.batch_grams), default=0)
    return BatchBounds(
        pieces=sum(taken),
        most_pieces=most,
        weight=shown_weight(total, units) if bound else "",
        most_weight=shown_weight(bound, units) if bound else "",
        too_much=sum(taken) > most or bool(bound and total > bound),
    )
