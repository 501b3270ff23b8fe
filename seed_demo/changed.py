"""A lot that was changed after its traveler was printed, and two jobs on one pallet."""

from dataclasses import replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Job, JobState, Lot, LotOperation
from app.lots.queries import change_offer, get_lot
from app.lots.services import NewOperation, add_operation, begin, note_print, pause
from app.parts.models import OperationKind
from app.stations.models import Station
from seed_demo.world import World

ON_ONE_PALLET = ("NJ-2044", "NJ-2045")
"""Two parts of one customer that the same mills make."""
SHARED = "Mill 2, two pallets"
EDGES = "Deburring"


def change_one(world: World) -> None:
    """Add an operation before the last one of a lot that nobody has begun there, after its traveler was printed."""
    session = world.session
    chosen = sa.select(Lot).where(Lot.closed_at.is_(None), Lot.hold_reason == "").order_by(Lot.number)
    for lot in session.scalars(chosen).all():
        offer = change_offer(session, get_lot(session, lot.id))
        before = offer.places[-2] if len(offer.movable) > 1 else None
        if before is None or before.kind.name == EDGES:
            continue
        note_print(session, world.act("TO"), lot.id)
        reason = "the customer's sample has softer edges"
        add_operation(session, replace(world.act("TO"), note=reason), lot.id, _edges(session, before))
        return


def _edges(session: orm.Session, before: LotOperation) -> NewOperation:
    """Return one more deburring, at the work center where the shop does that."""
    like = session.scalars(
        sa.select(LotOperation)
        .join(OperationKind, LotOperation.kind_id == OperationKind.id)
        .where(OperationKind.name == EDGES)
        .order_by(LotOperation.id)
        .limit(1)
    ).one()
    title = "Break edges as the sample"
    return NewOperation(before.id, title, like.kind_id, like.work_center_id, setup_seconds=300, cycle_ms=45_000)


def let_the_mills_wait(world: World) -> None:
    """Let no mill take up by itself what is released from now on."""
    center = _mill(world).work_center_id
    for station in world.stations:
        if station.work_center_id == center:
            station.free_at = world.end + 1


def share_a_pallet(world: World, lots: list[Lot]) -> None:
    """Have two lots, whose pieces wait for the mills, on one pallet; what runs there makes room for them."""
    session, mill = world.session, _mill(world)
    for job in session.scalars(sa.select(Job).where(Job.station_id == mill.id)).all():
        if job.state is not JobState.PAUSED:
            pause(session, world.act("DL", mill.id), job.operation_id)
    first = [next(each for each in lot.operations if each.work_center_id == mill.work_center_id) for lot in lots]
    begin(session, world.act("DL", mill.id), [each.id for each in first])


def _mill(world: World) -> Station:
    return world.session.scalars(sa.select(Station).where(Station.name == SHARED)).one()
