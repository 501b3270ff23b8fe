"""Reads of goods that came back."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.orders.models import CustomerOrder, Delivery, OrderLine
from app.parts.models import KindRole, OperationKind, Revision, RoutingOperation
from app.shared.database import the_one
from app.shared.paging import Page, paged
from app.shipping.errors import ReturnNotFoundError, RowGoneError
from app.shipping.models import GoodsReturn, ReturnDecision, Shipment, ShipmentLine
from app.stations.models import WorkCenter

SHOWN_RETURNS: Final = 50
"""So many returns are shown on a page that is about something else."""


def _line_loaded() -> orm.interfaces.LoaderOption:
    return orm.joinedload(GoodsReturn.line).options(
        orm.joinedload(ShipmentLine.shipment).joinedload(Shipment.customer),
        orm.joinedload(ShipmentLine.lot),
        orm.joinedload(ShipmentLine.delivery)
        .joinedload(Delivery.line)
        .options(orm.joinedload(OrderLine.order), orm.joinedload(OrderLine.revision).joinedload(Revision.part)),
    )


def _loaded() -> sa.Select[GoodsReturn]:
    return sa.select(GoodsReturn).options(
        _line_loaded(),
        orm.joinedload(GoodsReturn.lot).options(
            orm.selectinload(Lot.operations), orm.joinedload(Lot.revision).joinedload(Revision.part)
        ),
        orm.joinedload(GoodsReturn.recorded_by),
        orm.selectinload(GoodsReturn.decisions).joinedload(ReturnDecision.decided_by),
    )


def get_return(session: orm.Session, return_id: int, *, lock: bool = False) -> GoodsReturn:
    """Return one return with its shipment, lots, decisions and people.

    Args:
        session: where to read.
        return_id: which one.
        lock: hold its row until the end of the transaction.

    Raises:
        ReturnNotFoundError: there is none with this id.
    """
    if lock:
        session.scalars(sa.select(GoodsReturn).where(GoodsReturn.id == return_id).with_for_update()).all()
    return the_one(session, _loaded().where(GoodsReturn.id == return_id), ReturnNotFoundError)


def returns_page(session: orm.Session, number: int) -> Page[GoodsReturn]:
    """Return a page of returns, newest first."""
    return paged(session, _loaded().order_by(GoodsReturn.number.desc()), number)


def _of(which: sa.ColumnElement[bool]) -> sa.Select[GoodsReturn]:
    return (
        _loaded()
        .join(ShipmentLine, GoodsReturn.shipment_line_id == ShipmentLine.id)
        .where(which)
        .order_by(GoodsReturn.number.desc())
        .limit(SHOWN_RETURNS)
    )


def returns_of_shipment(session: orm.Session, shipment_id: int) -> Sequence[GoodsReturn]:
    """Return what came back of a shipment, newest first."""
    return session.scalars(_of(ShipmentLine.shipment_id == shipment_id)).all()


def returns_of_lot(session: orm.Session, lot_id: int) -> Sequence[GoodsReturn]:
    """Return what came back of a lot, and the return that the lot itself was made of, newest first."""
    return session.scalars(_of(sa.or_(ShipmentLine.lot_id == lot_id, GoodsReturn.lot_id == lot_id))).all()


def returns_of_part(session: orm.Session, part_id: int) -> Sequence[GoodsReturn]:
    """Return what came back of a part, whatever its revision, newest first."""
    lots = sa.select(Lot.id).join(Lot.revision).where(Revision.part_id == part_id)
    return session.scalars(_of(GoodsReturn.lot_id.in_(lots))).all()


def get_shipment_line(session: orm.Session, line_id: int) -> ShipmentLine:
    """Return a line of a shipment with its lot, that lot's operations, and the order.

    Raises:
        RowGoneError: there is none with this id.
    """
    chosen = (
        sa.select(ShipmentLine)
        .where(ShipmentLine.id == line_id)
        .options(
            orm.joinedload(ShipmentLine.shipment).joinedload(Shipment.customer),
            orm.joinedload(ShipmentLine.lot).options(
                orm.selectinload(Lot.operations), orm.joinedload(Lot.revision).joinedload(Revision.part)
            ),
            orm.joinedload(ShipmentLine.delivery)
            .joinedload(Delivery.line)
            .joinedload(OrderLine.order)
            .joinedload(CustomerOrder.customer),
        )
    )
    return the_one(session, chosen, RowGoneError)


def came_back(session: orm.Session, line_id: int) -> int:
    """Return how many pieces of a shipment's line came back already."""
    total = sa.select(sa.func.coalesce(sa.func.sum(Lot.started), 0)).join(GoodsReturn, GoodsReturn.lot_id == Lot.id)
    return session.scalars(total.where(GoodsReturn.shipment_line_id == line_id)).one()


@dataclass(frozen=True, slots=True)
class InspectionPlace:
    """A kind of operation and a work center that some routing does it in."""

    kind: OperationKind
    work_center: WorkCenter

    @property
    def key(self) -> str:
        """Return what tells it from the others: ``4-2``."""
        return f"{self.kind.id}-{self.work_center.id}"


def inspection_places(session: orm.Session) -> list[InspectionPlace]:
    """Return what the shop does at its stations and where, by name; one statement."""
    used = (
        sa.select(RoutingOperation.kind_id, RoutingOperation.work_center_id)
        .where(RoutingOperation.work_center_id.is_not(None))
        .distinct()
        .subquery()
    )
    rows = session.execute(
        sa.select(OperationKind, WorkCenter)
        .join(used, used.c.kind_id == OperationKind.id)
        .join(WorkCenter, used.c.work_center_id == WorkCenter.id)
        .where(OperationKind.role == KindRole.STATION)
        .order_by(OperationKind.name, WorkCenter.name)
    )
    return [InspectionPlace(kind, work_center) for kind, work_center in rows]
