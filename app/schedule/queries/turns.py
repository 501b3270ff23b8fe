"""What decides whose turn it is: the ranks of the accepted plan, and what an hour late counts for each lot."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.schedule.models import OperationRank


def operation_ranks(session: orm.Session) -> dict[int, int]:
    """Return the ranks of the accepted plan by operation; one statement."""
    rows = session.execute(sa.select(OperationRank.operation_id, OperationRank.rank)).all()
    return {row.operation_id: row.rank for row in rows}


def lot_weights(session: orm.Session) -> dict[int, int]:
    """Return what an hour late counts for open lots where it is not 1: as for their weightiest customer."""
    rows = session.execute(
        sa.select(LotDelivery.lot_id, sa.func.max(Customer.weight).label("weight"))
        .join(Delivery, Delivery.id == LotDelivery.delivery_id)
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(CustomerOrder.customer)
        .join(Lot, Lot.id == LotDelivery.lot_id)
        .where(Lot.closed_at.is_(None), Customer.weight > 1)
        .group_by(LotDelivery.lot_id)
    ).all()
    return {row.lot_id: row.weight for row in rows}
