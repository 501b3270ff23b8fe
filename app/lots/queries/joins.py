"""Which lots can become one, and from which lots a lot's pieces, and so their heats, came."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotOperation, Place
from app.lots.queries.names import lot_name
from app.material.queries import IssuedPieces, issued_to_lots
from app.parts.models import KindRole
from app.shared.words import gettext

OFFERED = 20


def next_operation(lot: Lot) -> LotOperation | None:
    """Return the operation at which all pieces of a lot wait; None where they are not all in one such place."""
    busy = [each for each in lot.operations if each.present]
    return busy[0] if len(busy) == 1 and busy[0].waiting == busy[0].present else None


def why_not_joined(lot: Lot, joined: Lot) -> str:
    """Say why a lot cannot go on as part of another; '' where it can."""
    if lot.id == joined.id:
        return gettext("Choose another lot: a lot cannot join itself.")
    if lot.revision_id != joined.revision_id:
        return gettext("Lot %(lot)s is of another part or revision.", lot=lot_name(joined))
    if joined.in_stock:
        return gettext("Lot %(lot)s has finished pieces in stock already.", lot=lot_name(joined))
    return _why_apart(lot) or _why_apart(joined) or _why_not_alike(lot, joined)


def _why_apart(lot: Lot) -> str:
    if lot.on_hold:
        return gettext("Lot %(lot)s is on hold: %(reason)s", lot=lot_name(lot), reason=lot.hold_reason)
    if lot.is_return:
        return gettext(
            "The pieces of lot %(lot)s came back from a customer and stay a lot of their own.", lot=lot_name(lot)
        )
    if next_operation(lot) is None:
        return gettext(
            "The pieces of lot %(lot)s do not all wait at one operation. Finish, release or scrap the others first.",
            lot=lot_name(lot),
        )
    return ""


def _why_not_alike(lot: Lot, joined: Lot) -> str:
    here, there = next_operation(lot), next_operation(joined)
    if here is None or there is None or _still_to_do(lot, here) != _still_to_do(joined, there):
        return gettext(
            "Lot %(lot)s does not wait at the same operation, or what is still to do differs.", lot=lot_name(joined)
        )
    if here.kind.role is KindRole.BLANKS:
        return gettext("They still wait for their blanks. Issue these first, so that each keeps its heat.")
    return ""


def _still_to_do(lot: Lot, following: LotOperation) -> list[tuple[object, ...]]:
    return [
        (each.number, each.kind_id, each.work_center_id, each.taking, each.cycle_ms)
        for each in lot.operations
        if each.number >= following.number and not each.skipped
    ]


def lots_to_join(session: orm.Session, lot: Lot) -> list[Lot]:
    """Return the lots that can join a lot, oldest first; a fixed number of statements."""
    others = session.scalars(
        sa.select(Lot)
        .where(
            Lot.revision_id == lot.revision_id,
            Lot.id != lot.id,
            Lot.closed_at.is_(None),
            Lot.hold_reason == "",
            Lot.in_stock == 0,
        )
        .order_by(Lot.number)
        .options(orm.selectinload(Lot.operations).joinedload(LotOperation.kind))
    )
    return [each for each in others if not why_not_joined(lot, each)][:OFFERED]


@dataclass(frozen=True, slots=True)
class Heats:
    """The blanks of the lots that a lot's pieces came from, by splitting or joining, and through which lot."""

    lot: Lot
    blanks: list[IssuedPieces]


def heats_through(session: orm.Session, lot_id: int) -> list[Heats]:
    """Return what the lots had that a lot's pieces came from, however many splits and joins ago; four statements."""
    came = (
        sa.select(Entry.other_lot_id.label("lot_id"))
        .where(Entry.lot_id == lot_id, Entry.from_place == Place.STARTED, Entry.other_lot_id.is_not(None))
        .cte("came", recursive=True)
    )
    earlier = orm.aliased(Entry)
    came = came.union(
        sa.select(earlier.other_lot_id).where(
            earlier.lot_id == came.c.lot_id, earlier.from_place == Place.STARTED, earlier.other_lot_id.is_not(None)
        )
    )
    lots = session.scalars(sa.select(Lot).where(Lot.id.in_(sa.select(came.c.lot_id))).order_by(Lot.number)).all()
    if not lots:
        return []
    issued = issued_to_lots(session, [each.id for each in lots])
    return [Heats(each, issued[each.id]) for each in lots if issued[each.id] and each.id != lot_id]
