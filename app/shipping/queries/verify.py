"""Recomputing what deliveries and lots count as shipped from the shipments themselves."""

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery
from app.lots.queries.names import lot_name
from app.lots.queries.verify import Difference
from app.orders.models import Delivery, OrderLine
from app.shipping.models import Shipment, ShipmentLine


def differences(session: orm.Session) -> Iterator[Difference]:
    """Compare what deliveries, lots and lots' shares of deliveries count as shipped with the shipments that stand.

    Three statements, however many there are.
    """
    left = (
        sa.select(ShipmentLine.delivery_id, ShipmentLine.lot_id, ShipmentLine.pieces)
        .join(ShipmentLine.shipment)
        .where(Shipment.taken_back_at.is_(None))
        .subquery()
    )
    pieces = sa.func.coalesce(sa.func.sum(left.c.pieces), 0)
    yield from _of_deliveries(session, left, pieces)
    for lot, count in session.execute(
        sa.select(Lot, pieces)
        .outerjoin(left, left.c.lot_id == Lot.id)
        .group_by(Lot.id)
        .having(pieces != Lot.shipped)
        .order_by(Lot.number)
    ):
        yield Difference(lot_name(lot), "shipped", lot.shipped, int(count))
    same = sa.and_(left.c.lot_id == LotDelivery.lot_id, left.c.delivery_id == LotDelivery.delivery_id)
    for share, count in session.execute(
        sa.select(LotDelivery, pieces)
        .outerjoin(left, same)
        .group_by(LotDelivery.id)
        .having(pieces != LotDelivery.shipped)
        .order_by(LotDelivery.id)
        .options(orm.joinedload(LotDelivery.lot))
    ):
        where = f"{lot_name(share.lot)} for delivery {share.delivery_id}"
        yield Difference(where, "shipped", share.shipped, int(count))


def _of_deliveries(session: orm.Session, left: sa.Subquery, pieces: sa.ColumnElement[int]) -> Iterator[Difference]:
    for delivery, count in session.execute(
        sa.select(Delivery, pieces)
        .outerjoin(left, left.c.delivery_id == Delivery.id)
        .group_by(Delivery.id)
        .having(pieces != Delivery.shipped)
        .order_by(Delivery.id)
        .options(orm.selectinload(Delivery.line).joinedload(OrderLine.order))
    ):
        where = f"order {delivery.line.order.their_number}, delivery due {delivery.due}"
        yield Difference(where, "shipped", delivery.shipped, int(count))
