"""Lots that can share one load of a station: a pallet or a batch."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.queries.weights import units_of
from app.lots.models import Job, Lot, LotOperation
from app.lots.queries.loads import SHARED, full_share, grams_of, proposed_shares, weight_bound
from app.parts.models import Revision, Taking
from app.shared.units import shown_weight
from app.stations.models import Station

OFFERED = 12


@dataclass(frozen=True, slots=True)
class SharedLoad:
    """What the collected lots add up to, against what one load holds.

    Attributes:
        taken: how many pieces of each lot, in their order.
        most_pieces: what a batch holds; None on a pallet, where each part has its own places.
        weight, most_weight: as shown; empty: not bounded.
        full_percent: how full it is.
    """

    taken: list[int]
    most_pieces: int | None
    weight: str
    most_weight: str
    full_percent: int

    @property
    def pieces(self) -> int:
        """Return all pieces in it."""
        return sum(self.taken)

    @property
    def too_much(self) -> bool:
        """Say whether it is more than one load holds."""
        return self.full_percent > 100


def load_candidates(session: orm.Session, station: Station, collected: Sequence[int]) -> list[LotOperation]:
    """Return operations that run in loads and wait here, and can share one with those collected; one statement."""
    wanted = (
        sa.select(LotOperation)
        .join(LotOperation.lot)
        .where(
            LotOperation.work_center_id == station.work_center_id,
            LotOperation.taking.in_(SHARED),
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
        wanted = wanted.where(LotOperation.taking == first.taking)
    if first is not None and first.taking is Taking.BATCH:
        wanted = wanted.where(LotOperation.recipe == first.recipe, LotOperation.cycle_ms == first.cycle_ms)
    return list(session.scalars(wanted))


def shared_load(
    session: orm.Session, operations: Sequence[LotOperation], asked: Sequence[int] = ()
) -> SharedLoad | None:
    """Return what the collected operations add up to, as ``asked`` or as proposed; None where nothing is collected."""
    if not operations:
        return None
    units = units_of(session)
    taken = list(asked) if len(asked) == len(operations) else proposed_shares(operations)
    bound = weight_bound(operations) if operations[0].taking is Taking.BATCH else 0
    return SharedLoad(
        taken=taken,
        most_pieces=min(each.load_pieces for each in operations) if operations[0].taking is Taking.BATCH else None,
        weight=shown_weight(grams_of(operations, taken), units) if bound else "",
        most_weight=shown_weight(bound, units) if bound else "",
        full_percent=-int(-100 * full_share(operations, taken) // 1),
    )
