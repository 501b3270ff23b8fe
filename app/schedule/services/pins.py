"""Pinning lots by hand: pinned ones go first, in the order of their places."""

from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import LotNotFoundError
from app.lots.models import Lot
from app.lots.queries.names import lot_name
from app.schedule.errors import LotFinishedError, NotPinnedError
from app.schedule.models import PinChange
from app.shared.database import transaction


class Place(StrEnum):
    """Where among the pinned lots a lot goes."""

    FRONT = "front"
    EARLIER = "earlier"
    LATER = "later"


def pin_lot(session: orm.Session, lot_id: int, by: int | None, now: datetime, place: Place = Place.FRONT) -> Lot:
    """Let a lot go before all that are not pinned: before all others, or one place earlier or later than it is now.

    Who did it and when is kept.

    Raises:
        LotNotFoundError: no such lot.
        LotFinishedError: nothing of it is left to run.
        NotPinnedError: it has no place that could be moved.
    """
    with transaction(session):
        lot, others = _lock_pinned(session, lot_id)
        if lot.closed_at is not None:
            raise LotFinishedError(lot_name(lot))
        if place is not Place.FRONT and lot.pin is None:
            raise NotPinnedError(lot_name(lot))
        _number([*others[: (at := _new_place(lot, others, place))], lot, *others[at:]])
        session.add(PinChange(lot_id=lot.id, place=lot.pin, changed_at=now, changed_by_id=by))
    return lot


def unpin_lot(session: orm.Session, lot_id: int, by: int | None, now: datetime) -> Lot:
    """Let the accepted plan, or rush and due date, decide about a lot again; one that is not pinned stays as it is.

    Raises:
        LotNotFoundError: no such lot.
    """
    with transaction(session):
        lot, others = _lock_pinned(session, lot_id)
        if lot.pin is not None:
            session.add(PinChange(lot_id=lot.id, place=None, changed_at=now, changed_by_id=by))
        lot.pin = None
        _number(others)
    return lot


def _lock_pinned(session: orm.Session, lot_id: int) -> tuple[Lot, list[Lot]]:
    """Read a lot and the other pinned open lots, in their order, under lock."""
    found = session.scalars(
        sa.select(Lot)
        .where(sa.or_(Lot.id == lot_id, sa.and_(Lot.pin.is_not(None), Lot.closed_at.is_(None))))
        .order_by(Lot.id)
        .with_for_update()
        .execution_options(populate_existing=True)
    ).all()
    lot = next((each for each in found if each.id == lot_id), None)
    if lot is None:
        raise LotNotFoundError(str(lot_id))
    others = [each for each in found if each.id != lot_id]
    return lot, sorted(others, key=lambda each: (each.pin or 0, each.number))


def _new_place(lot: Lot, others: list[Lot], place: Place) -> int:
    """Return how many pinned lots go before this one now."""
    if place is Place.FRONT or lot.pin is None:
        return 0
    before = sum(1 for each in others if (each.pin or 0, each.number) < (lot.pin, lot.number))
    moved = before - 1 if place is Place.EARLIER else before + 1
    return min(max(0, moved), len(others))


def _number(lots: list[Lot]) -> None:
    """Give places 1, 2, 3 ...; a place that stays is no change."""
    for place, lot in enumerate(lots, start=1):
        if lot.pin != place:
            lot.pin = place
