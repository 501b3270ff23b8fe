"""Taking back a shipment that was recorded by mistake: everything it counted is counted back."""

from collections import Counter
from dataclasses import replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import LotDelivery
from app.lots.services import Act, undo_shipped
from app.orders.queries import shop_today
from app.orders.services import add_shipped
from app.shared.database import transaction
from app.shipping.errors import DayOverError, TakeBackReasonError
from app.shipping.models import Shipment, ShipmentLine
from app.shipping.queries import get_shipment, load_cargo


def take_back_shipment(session: orm.Session, act: Act, shipment_id: int, reason: str) -> Shipment:
    """Put the pieces of a shipment back into stock on the day it was recorded; taking back twice changes nothing.

    The shipment stays on record with the reason; its deliveries count back and are open again where they are not
    filled, and its lots owe them the pieces again.

    Raises:
        ShipmentNotFoundError: there is no such shipment.
        TakeBackReasonError: no reason is given.
        DayOverError: it was recorded on another day.
    """
    with transaction(session):
        shipment = get_shipment(session, shipment_id, lock=True)
        if shipment.taken_back_at is not None:
            return shipment
        _check(session, act, shipment, reason)
        load_cargo(
            session,
            (line.delivery_id for line in shipment.lines),
            (line.lot_id for line in shipment.lines),
            lock=True,
        )
        for line in shipment.lines:
            undo_shipped(session, replace(act, key=f"{act.key}/line {line.id}", note=reason), line.posting_id)
        _lower_shares(session, shipment)
        _count_back(session, act, shipment)
        shipment.taken_back_at = act.recorded_at
        shipment.taken_back_by_id = act.person_id
        shipment.taken_back_reason = reason
    return shipment


def _check(session: orm.Session, act: Act, shipment: Shipment, reason: str) -> None:
    if not reason:
        raise TakeBackReasonError
    recorded_on = shop_today(session, shipment.recorded_at)
    if recorded_on != shop_today(session, act.recorded_at):
        raise DayOverError(shipment.number, recorded_on)


def _lower_shares(session: orm.Session, shipment: Shipment) -> None:
    """Give the lots back what they owed the deliveries; a share that the shipment made goes with it."""
    same = sa.and_(ShipmentLine.lot_id == LotDelivery.lot_id, ShipmentLine.delivery_id == LotDelivery.delivery_id)
    shares = (
        sa.select(LotDelivery, ShipmentLine).join(ShipmentLine, same).where(ShipmentLine.shipment_id == shipment.id)
    )
    for share, line in session.execute(shares):
        share.shipped -= line.pieces
        share.quantity -= line.raised
        if share.quantity == 0:
            session.delete(share)
    session.flush()


def _count_back(session: orm.Session, act: Act, shipment: Shipment) -> None:
    totals: Counter[int] = Counter()
    for line in shipment.lines:
        totals[line.delivery_id] += line.pieces
    for delivery_id, pieces in sorted(totals.items()):
        add_shipped(session, delivery_id, -pieces, act.recorded_at)
