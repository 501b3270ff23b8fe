"""Which components the open lots still take: one answer for the forecast and for what to order."""

from collections.abc import Collection
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import ComponentUse, Lot, LotComponent, LotDelivery, LotOperation
from app.orders.models import Delivery
from app.parts.models import Part, Revision


@dataclass(frozen=True, slots=True)
class ComponentDemand:
    """What one operation of an open lot still takes of one component.

    Attributes:
        lot: with its revision and part.
        operation: where it is fitted.
        part: the component.
        begun: components for pieces in work there now, which nobody recorded yet: they lie at the station.
        waiting: components for pieces that wait there or are still to come.
    """

    lot: Lot
    operation: LotOperation
    part: Part
    begun: int
    waiting: int


def component_demands(session: orm.Session) -> list[ComponentDemand]:
    """Return what the operations of open lots still take; four statements.

    Components that were recorded count first for the pieces that have gone on, then for those in work, then for those
    that wait. Pieces that have gone on without a record are taken to have theirs.
    """
    lots = _lots_with_components(session)
    if not lots:
        return []
    used = _used(session, [lot.id for lot in lots])
    return [demand for lot in lots for demand in _demands(lot, used)]


def _lots_with_components(session: orm.Session) -> list[Lot]:
    taking = sa.select(LotOperation.lot_id).join(LotOperation.components)
    chosen = (
        sa.select(Lot)
        .where(Lot.closed_at.is_(None), Lot.id.in_(taking))
        .order_by(Lot.number)
        .options(
            orm.joinedload(Lot.revision).joinedload(Revision.part),
            orm.selectinload(Lot.operations).options(
                orm.defer(LotOperation.instructions),
                orm.selectinload(LotOperation.components).joinedload(LotComponent.part),
            ),
        )
    )
    return list(session.scalars(chosen))


def _used(session: orm.Session, lot_ids: Collection[int]) -> dict[tuple[int, int], int]:
    """Return the components recorded, by operation and part."""
    rows = session.execute(
        sa.select(ComponentUse.operation_id, ComponentUse.part_id, sa.func.sum(ComponentUse.pieces))
        .join(LotOperation, ComponentUse.operation_id == LotOperation.id)
        .where(LotOperation.lot_id.in_(lot_ids))
        .group_by(ComponentUse.operation_id, ComponentUse.part_id)
    )
    return {(operation_id, part_id): int(pieces) for operation_id, part_id, pieces in rows}


def _demands(lot: Lot, used: dict[tuple[int, int], int]) -> list[ComponentDemand]:
    found = []
    before = 0
    for operation in lot.operations:
        for component in [] if operation.skipped else operation.components:
            gone = operation.counted + operation.done
            left = max(0, used.get((operation.id, component.part_id), 0) - component.per_piece * gone)
            begun = component.per_piece * operation.in_work
            waiting = component.per_piece * (before + operation.waiting + operation.held) - max(0, left - begun)
            demand = ComponentDemand(lot, operation, component.part, max(0, begun - left), max(0, waiting))
            if demand.begun or demand.waiting:
                found.append(demand)
        before += operation.present
    return found


@dataclass(frozen=True, slots=True)
class ComponentLot:
    """A lot of ours whose pieces can go into others.

    Attributes:
        lot: it.
        part_id: what it makes.
        in_stock: finished pieces that no delivery is owed.
        coming: good pieces still wanted of it beyond what deliveries are owed; 0 for a finished lot.
    """

    lot: Lot
    part_id: int
    in_stock: int
    coming: int


def component_lots(session: orm.Session, part_ids: Collection[int]) -> list[ComponentLot]:
    """Return the lots of some parts that have pieces to spare, in stock or still being made; three statements.

    Lots on hold have none.
    """
    chosen = (
        sa.select(Lot, Revision.part_id)
        .join(Lot.revision)
        .where(Revision.part_id.in_(part_ids), sa.or_(Lot.closed_at.is_(None), Lot.in_stock > 0))
        .order_by(Lot.number)
        .options(
            orm.selectinload(Lot.deliveries).joinedload(LotDelivery.delivery).joinedload(Delivery.line),
            orm.selectinload(Lot.operations),
        )
    )
    found = [_to_spare(lot, part_id) for lot, part_id in session.execute(chosen) if not lot.on_hold]
    return [each for each in found if each.in_stock or each.coming]


def _to_spare(lot: Lot, part_id: int) -> ComponentLot:
    owed = sum(share.quantity - share.shipped for share in lot.deliveries if share.open)
    present = sum(operation.present for operation in lot.operations) if lot.closed_at is None else 0
    still_wanted = lot.needed - lot.in_stock - lot.shipped - lot.in_other_lots
    coming = max(0, min(present, still_wanted) - max(0, owed - lot.in_stock))
    return ComponentLot(lot, part_id, max(0, lot.in_stock - owed), coming)
