"""Keeping a lot's due date and rush true to the deliveries it still has to fill."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery
from app.orders.models import CustomerOrder, Delivery, OrderLine


def refresh_due(session: orm.Session, lot: Lot) -> None:
    """Move a lot's due date and rush to what it still owes; call it inside the transaction that changed that.

    Due is the day the first delivery must leave that is open and of which the lot has not shipped its share. Where it
    owes nothing more there is no due date, except that a date wished for stock stays.
    """
    session.flush()
    _refresh(lot, _shares(session, [lot.id]))


def refresh_due_of_deliveries(session: orm.Session, delivery_ids: Iterable[int]) -> None:
    """Move due date and rush of every lot that serves one of these deliveries; the orders area calls it on changes."""
    serving = sa.select(LotDelivery.lot_id).where(LotDelivery.delivery_id.in_(sorted(delivery_ids)))
    lots = session.scalars(sa.select(Lot).where(Lot.id.in_(serving)).order_by(Lot.id).with_for_update(of=Lot)).all()
    shares = _shares(session, [lot.id for lot in lots])
    for lot in lots:
        _refresh(lot, [share for share in shares if share.lot_id == lot.id])


def _shares(session: orm.Session, lot_ids: list[int]) -> list[LotDelivery]:
    return list(
        session.scalars(
            sa.select(LotDelivery)
            .where(LotDelivery.lot_id.in_(lot_ids))
            .options(
                orm.joinedload(LotDelivery.delivery)
                .joinedload(Delivery.line)
                .joinedload(OrderLine.order)
                .joinedload(CustomerOrder.customer)
            )
        )
    )


def _refresh(lot: Lot, shares: list[LotDelivery]) -> None:
    owed = [share.delivery for share in shares if share.open]
    if owed:
        lot.due_on = min(delivery.leave_day for delivery in owed)
        lot.rush = any(delivery.line.rush for delivery in owed)
    elif lot.due_on in {share.delivery.leave_day for share in shares}:
        lot.due_on, lot.rush = None, False
