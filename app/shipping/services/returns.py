"""Goods that come back: recording them, and deciding what becomes of them."""

from collections.abc import Iterator
from dataclasses import asdict, replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import KeyReusedError
from app.lots.models import Verb
from app.lots.queries import unmeant
from app.lots.services import Act, ComeBack, chosen_again, mean_for, scrap_left, take_back
from app.lots.services.acts import content_hash
from app.orders.models import Delivery
from app.orders.queries import shop_today
from app.orders.services import Talk, Terms, add_delivery
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, RefusedError, refuse
from app.shared.words import gettext, ngettext
from app.shipping.errors import (
    CameBeforeLeftError,
    CameInFutureError,
    DueMissingError,
    MoreThanCameBackError,
    MoreThanLeftError,
    NothingLeftToInspectError,
    TakenBackError,
)
from app.shipping.models import GoodsReturn, Outcome, ReturnDecision, ShipmentLine
from app.shipping.queries import came_back, get_return, get_shipment_line
from app.shipping.services.inputs import NewDecision, NewReturn


def add_return(session: orm.Session, act: Act, new: NewReturn) -> GoodsReturn:
    """Record pieces of a shipment that came back; they become a lot with the operations chosen for them.

    Raises:
        RowGoneError: there is no such line of a shipment.
        TakenBackError: the shipment was taken back: nothing left with it.
        KeyReusedError: the form was recorded before with other content.
        RefusedError: more would come back than left, the day cannot be, or nothing is to be done with the pieces; its
            problems say where.
    """
    with transaction(session):
        line = get_shipment_line(session, new.shipment_line_id)
        kept = _recorded_before(session, act, new)
        if kept is not None:
            return kept
        if line.shipment.taken_back_at is not None:
            raise TakenBackError(line.shipment.number)
        refuse(_return_problems(session, act, line, new))
        back = ComeBack(line.lot_id, new.pieces, new.reason, new.inspection, new.operation_ids)
        lot = take_back(session, replace(act, key=f"{act.key}/lot", note=new.their_reference), back)
        last = session.scalars(sa.select(sa.func.max(GoodsReturn.number))).one() or 0
        returned = GoodsReturn(
            number=last + 1,
            line=line,
            lot=lot,
            came_on=new.came_on,
            reason=new.reason,
            their_reference=new.their_reference,
            client_key=act.key,
            content_hash=_mark(new),
            recorded_at=act.recorded_at,
            recorded_by_id=act.person_id,
        )
        session.add(returned)
    return returned


def _mark(new: NewReturn | NewDecision) -> str:
    return content_hash(Verb.TAKE_BACK, asdict(new))


def _recorded_before(session: orm.Session, act: Act, new: NewReturn) -> GoodsReturn | None:
    kept = session.scalars(sa.select(GoodsReturn).where(GoodsReturn.client_key == act.key)).one_or_none()
    if kept is not None and kept.content_hash != _mark(new):
        raise KeyReusedError(
            ngettext(
                "return %(number)s of %(num)d piece",
                "return %(number)s of %(num)d pieces",
                kept.pieces,
                number=kept.number,
            )
        )
    return kept


def _return_problems(session: orm.Session, act: Act, line: ShipmentLine, new: NewReturn) -> Iterator[Problem]:
    left = line.pieces - came_back(session, line.id)
    if new.pieces > left:
        yield Problem("pieces", MoreThanLeftError(line.pieces, left))
    today = shop_today(session, act.recorded_at)
    if new.came_on > today:
        yield Problem("came_on", CameInFutureError(today))
    elif new.came_on < line.shipment.shipped_on:
        yield Problem("came_on", CameBeforeLeftError(line.shipment.shipped_on))
    if new.inspection is None and not chosen_again(line.lot, new.operation_ids):
        yield Problem("operation_ids", NothingLeftToInspectError())


def decide_return(session: orm.Session, act: Act, new: NewDecision) -> ReturnDecision:
    """Decide about pieces that came back.

    Sent again, they get a delivery of their own, for which the lot's free pieces are meant; scrap leaves the lot; a
    credit is put on record.

    Raises:
        ReturnNotFoundError: there is no such return.
        KeyReusedError: the form was recorded before with other content.
        RefusedError: more than came back, or a wrong day; its problems say where.
        LedgerError: so many cannot be scrapped.
    """
    with transaction(session):
        returned = get_return(session, new.return_id, lock=True)
        kept = _decided_before(session, act, new)
        if kept is not None:
            return kept
        if new.outcome is not Outcome.SCRAP and new.pieces > returned.undecided:
            raise RefusedError([Problem("pieces", MoreThanCameBackError(returned.undecided))])
        delivery = _send_again(session, act, returned, new) if new.outcome is Outcome.SHIP_AGAIN else None
        if new.outcome is Outcome.SCRAP:
            reason = new.note or returned.reason
            scrap_left(session, replace(act, key=f"{act.key}/scrap"), returned.lot_id, new.pieces, reason)
        decision = ReturnDecision(
            returned=returned,
            outcome=new.outcome,
            pieces=new.pieces,
            note=new.note,
            delivery=delivery,
            client_key=act.key,
            content_hash=_mark(new),
            decided_by_id=new.decided_by_id,
            recorded_at=act.recorded_at,
            recorded_by_id=act.person_id,
        )
        session.add(decision)
    return decision


def _decided_before(session: orm.Session, act: Act, new: NewDecision) -> ReturnDecision | None:
    kept = session.scalars(sa.select(ReturnDecision).where(ReturnDecision.client_key == act.key)).one_or_none()
    if kept is not None and kept.content_hash != _mark(new):
        raise KeyReusedError(f"{kept.outcome.word}, {kept.pieces}")
    return kept


def _send_again(session: orm.Session, act: Act, returned: GoodsReturn, new: NewDecision) -> Delivery:
    """Owe the customer the pieces again; those of the lot that nobody waits for are meant for it."""
    if new.due is None:
        raise RefusedError([Problem("due", DueMissingError())])
    by = session.get(Person, act.person_id) if act.person_id else None
    note = gettext("for return %(number)s", number=returned.number)
    talk = Talk(f"{act.key}/delivery", act.recorded_at, by, returned.their_reference, note)
    line_id = returned.line.delivery.line_id
    delivery = add_delivery(session, line_id, Terms(new.pieces, new.due), talk, is_replacement=True)
    session.flush()
    free = min(new.pieces, unmeant(returned.lot))
    if free > 0 and delivery.line.revision_id == returned.lot.revision_id:
        mean_for(session, replace(act, key=f"{act.key}/meant"), returned.lot_id, delivery.id, free)
    return delivery
