"""Shipping: finished pieces leave their lots, deliveries count them, and one packing slip says so."""

from collections import Counter
from dataclasses import asdict, replace
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import KeyReusedError
from app.lots.models import LotDelivery, Verb
from app.lots.services import Act, ship_pieces
from app.lots.services.acts import content_hash
from app.orders.queries import leave_by, shop_today
from app.orders.services import add_shipped
from app.shared.database import transaction
from app.shared.errors import refuse
from app.shared.words import ngettext
from app.shipping.models import Shipment, ShipmentLine
from app.shipping.queries import load_cargo, share_of
from app.shipping.services.checks import shipment_problems
from app.shipping.services.inputs import NewShipment, NewShipmentLine


def ship(session: orm.Session, act: Act, new: NewShipment) -> Shipment:
    """Record goods that leave for a customer; the same form sent twice ships once.

    Each delivery counts its pieces and closes when it is filled; due date and rush of the lots move on to what they
    still owe.

    Raises:
        RowGoneError: a lot or delivery does not exist.
        KeyReusedError: the form was recorded before with other content.
        RefusedError: something is wrong; its problems say what and where. A lot on hold, pieces that are not there,
            and more than a delivery asks for without ``over_agreed`` are refused.
    """
    leaving = [line for line in new.lines if line.pieces]
    with transaction(session):
        cargo = load_cargo(
            session, (line.delivery_id for line in leaving), (line.lot_id for line in leaving), lock=True
        )
        earlier = _recorded_before(session, act, new)
        if earlier is not None:
            return earlier
        refuse(shipment_problems(new, cargo, shop_today(session, act.recorded_at)))
        left = replace(act, happened_at=_left_at(session, act, new.shipped_on))
        shipment = _made_shipment(session, act, new)
        shipment.lines = [_made_line(session, left, number, line) for number, line in enumerate(leaving)]
        session.add(shipment)
        _count_shipped(session, leaving, act.recorded_at)
    return shipment


def fingerprint(new: NewShipment) -> str:
    """Return what tells one shipment's content from another's."""
    return content_hash(Verb.SHIP, asdict(new))


def _recorded_before(session: orm.Session, act: Act, new: NewShipment) -> Shipment | None:
    kept = session.scalars(sa.select(Shipment).where(Shipment.client_key == act.key)).one_or_none()
    if kept is not None and kept.content_hash != fingerprint(new):
        raise KeyReusedError(
            ngettext(
                "shipment %(number)s of %(pieces)s piece",
                "shipment %(number)s of %(pieces)s pieces",
                kept.pieces,
                number=kept.number,
                pieces=f"{kept.pieces:,}",
            )
        )
    return kept


def _left_at(session: orm.Session, act: Act, shipped_on: date) -> datetime:
    """Return when goods left: now for today, else that day's shipping cut-off."""
    if shipped_on >= shop_today(session, act.recorded_at):
        return act.happened_at
    return leave_by(session, shipped_on)


def _made_shipment(session: orm.Session, act: Act, new: NewShipment) -> Shipment:
    last = session.scalars(sa.select(sa.func.max(Shipment.number))).one() or 0
    return Shipment(
        number=last + 1,
        customer_id=new.customer_id,
        shipped_on=new.shipped_on,
        carrier=new.carrier,
        note=new.note,
        client_key=act.key,
        content_hash=fingerprint(new),
        recorded_at=act.recorded_at,
        recorded_by_id=act.person_id,
        taken_back_reason="",
    )


def _made_line(session: orm.Session, act: Act, number: int, line: NewShipmentLine) -> ShipmentLine:
    posting = ship_pieces(session, replace(act, key=f"{act.key}/line {number}"), line.lot_id, line.pieces)
    return ShipmentLine(
        lot_id=line.lot_id,
        delivery_id=line.delivery_id,
        posting=posting,
        pieces=line.pieces,
        raised=_count_share(session, line),
    )


def _count_share(session: orm.Session, line: NewShipmentLine) -> int:
    """Count the pieces in the lot's share of the delivery; return by how many the share had to be raised."""
    share = share_of(session, line.lot_id, line.delivery_id)
    if share is None:
        share = LotDelivery(lot_id=line.lot_id, delivery_id=line.delivery_id, quantity=0, shipped=0)
        session.add(share)
    share.shipped += line.pieces
    raised = max(0, share.shipped - share.quantity)
    share.quantity += raised
    session.flush()
    return raised


def _count_shipped(session: orm.Session, leaving: list[NewShipmentLine], now: datetime) -> None:
    totals: Counter[int] = Counter()
    for line in leaving:
        totals[line.delivery_id] += line.pieces
    for delivery_id, pieces in sorted(totals.items()):
        add_shipped(session, delivery_id, pieces, now)
