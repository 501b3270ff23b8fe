"""What decides whose turn it is: the ranks of the accepted plan, and what an hour late counts for each lot."""

from collections.abc import Sequence

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery, LotOperation
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.schedule.models import OperationRank
from app.schedule.queries.whys import lot_turn_words


def operation_ranks(session: orm.Session) -> dict[int, int]:
    """Return the ranks of the accepted plan by operation; one statement."""
    rows = session.execute(sa.select(OperationRank.operation_id, OperationRank.rank)).all()
    return {row.operation_id: row.rank for row in rows}


def still_to_do() -> sa.ColumnElement[bool]:
    """Say of an open lot's operation, as the snapshot does: it is not skipped, and pieces have yet to pass it."""
    return sa.and_(~LotOperation.skipped, sa.or_(_present(LotOperation) > 0, _pieces_to_come()))


def _present(operation: type[LotOperation]) -> sa.ColumnElement[int]:
    return operation.waiting + operation.in_work + operation.counted + operation.held


def _pieces_to_come() -> sa.ColumnElement[bool]:
    """Say of an operation whether pieces of its lot are at an earlier one."""
    ahead = orm.aliased(LotOperation)
    return sa.exists().where(
        ahead.lot_id == LotOperation.lot_id, ahead.number < LotOperation.number, ~ahead.skipped, _present(ahead) > 0
    )


def ranks_in_force() -> sa.Subquery:
    """Select operation, station and accepted plan of the ranks that still decide something.

    Ranks stay when their work is done; that of a lot which is open again counts again.
    """
    return (
        sa.select(OperationRank.operation_id, OperationRank.station_id, OperationRank.accepted_plan_id)
        .join(LotOperation, LotOperation.id == OperationRank.operation_id)
        .join(LotOperation.lot)
        .where(Lot.closed_at.is_(None), still_to_do())
        .subquery()
    )


def turns_of(session: orm.Session, lot_id: int) -> Sequence[tuple[int, bool]]:
    """Return the numbers of the operations that stations have still to begin, and whether a plan gives each its place.

    One statement.
    """
    to_begin = sa.or_(LotOperation.waiting + LotOperation.held > 0, _pieces_to_come())
    rows = session.execute(
        sa.select(LotOperation.number, OperationRank.operation_id.is_not(None))
        .outerjoin(OperationRank, OperationRank.operation_id == LotOperation.id)
        .where(LotOperation.lot_id == lot_id, LotOperation.work_center_id.is_not(None), ~LotOperation.skipped, to_begin)
        .order_by(LotOperation.number)
    )
    return [(number, ranked) for number, ranked in rows]


def turn_of(session: orm.Session, lot: Lot) -> str:
    """Say what decides when it is a lot's turn; one statement."""
    return lot_turn_words(lot, turns_of(session, lot.id))


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
