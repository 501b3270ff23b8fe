"""Putting a mistake right: a reversing entry that names the one it reverses."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import CannotUndoError, TooManyPiecesError
from app.lots.models import ComponentUse, Entry, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.lots import UNDONE_ELSEWHERE
from app.lots.queries.names import lot_name
from app.lots.queries.returned import taken_back
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, lock_lots, write
from app.lots.services.checks import refuse_unfit
from app.material.services import take_back
from app.people.models import Person
from app.shared.database import transaction
from app.shared.words import gettext

UNDOABLE_HERE = frozenset(Verb) - UNDONE_ELSEWHERE


def undo(session: orm.Session, act: Act, posting_id: int) -> Posting:
    """Reverse a posting: its pieces go back to where they came from.

    Raises:
        CannotUndoError: it was undone before, is of a kind that is put right elsewhere (release, split, shipment),
            or its pieces have moved on; the sentence says where they are.
        EntryRefusedError: a later area says why it must stand.
    """
    return _undo(session, act, posting_id, UNDOABLE_HERE)


def undo_shipped(session: orm.Session, act: Act, posting_id: int) -> Posting:
    """Bring shipped pieces back into stock; the shipping area calls it, which knows the delivery they were for.

    Raises:
        CannotUndoError: it is no shipment, was undone before, or its pieces came back as a lot of their own.
    """
    return _undo(session, act, posting_id, frozenset({Verb.SHIP}))


def _undo(session: orm.Session, act: Act, posting_id: int, undoable: frozenset[Verb]) -> Posting:
    content = {"posting": posting_id}
    with transaction(session):
        wrong = session.get(Posting, posting_id, options=[orm.selectinload(Posting.entries)])
        if wrong is None:
            raise CannotUndoError(gettext("There is no such entry."))
        lots = lock_lots(session, {entry.lot_id for entry in wrong.entries})
        answer = earlier_answer(session, act, Verb.UNDO, content)
        if answer is not None:
            return answer
        _check_can_undo(session, wrong, undoable)
        _check_not_back(session, wrong, lots)
        posting = _reverse(session, act, content, wrong, lots)
        refuse_unfit(session, posting.entries)
        _take_back_others(session, act, wrong, posting)
        _restore_hold(wrong, lots)
    return posting


def _check_can_undo(session: orm.Session, wrong: Posting, undoable: frozenset[Verb]) -> None:
    if wrong.verb not in undoable:
        raise CannotUndoError(gettext("This entry (%(verb)s) is not undone here.", verb=gettext(wrong.verb.value)))
    if session.scalars(sa.select(Posting.id).where(Posting.reverses_id == wrong.id)).first() is not None:
        raise CannotUndoError(gettext("This entry was undone already."))


def _check_not_back(session: orm.Session, wrong: Posting, lots: dict[int, Lot]) -> None:
    """Refuse to bring shipped pieces into stock that came back already as a lot of their own."""
    for entry in wrong.entries if wrong.verb is Verb.SHIP else []:
        back = taken_back(session, entry.lot_id)
        if lots[entry.lot_id].shipped - entry.quantity < back:
            raise CannotUndoError(
                gettext(
                    "%(pieces)s of the shipped pieces of %(lot)s came back already, as a lot of their own.",
                    pieces=back,
                    lot=lot_name(lots[entry.lot_id]),
                )
            )


def _reverse(session: orm.Session, act: Act, content: dict[str, int], wrong: Posting, lots: dict[int, Lot]) -> Posting:
    moves = [_reversed(entry, lots[entry.lot_id]) for entry in reversed(wrong.entries)]
    try:
        return write(session, act, Verb.UNDO, content, moves, reverses_id=wrong.id)
    except TooManyPiecesError as moved_on:
        where = "; ".join(_whereabouts(lot) for lot in lots.values())
        raise CannotUndoError(
            gettext("The pieces have moved on: %(where)s. Undo that first.", where=where)
        ) from moved_on


def _reversed(entry: Entry, lot: Lot) -> Move:
    by_id = {operation.id: operation for operation in lot.operations}
    return Move(
        lot,
        entry.quantity,
        _spot(by_id, entry.to_place, entry.to_operation_id),
        _spot(by_id, entry.from_place, entry.from_operation_id),
        other_lot_id=entry.other_lot_id,
        receipt_id=entry.receipt_id,
        station_id=entry.station_id,
    )


def _spot(by_id: dict[int, LotOperation], place: Place, operation_id: int | None) -> Spot:
    if operation_id is not None and operation_id not in by_id:
        raise CannotUndoError(gettext("The lot was changed since: its operation there was removed."))
    return Spot(place, by_id[operation_id] if operation_id is not None else None)


def _whereabouts(lot: Lot) -> str:
    spots = [
        gettext("%(pieces)s at op %(number)s", pieces=operation.present, number=operation.number)
        for operation in lot.operations
        if operation.present
    ]
    if lot.in_stock:
        spots.append(gettext("%(pieces)s in stock", pieces=lot.in_stock))
    if lot.shipped:
        spots.append(gettext("%(pieces)s shipped", pieces=lot.shipped))
    return f"{lot_name(lot)}: {', '.join(spots)}"


def _take_back_others(session: orm.Session, act: Act, wrong: Posting, posting: Posting) -> None:
    """Give back what came from elsewhere: components and the blanks of a receipt."""
    by = session.get(Person, act.person_id) if act.person_id else None
    uses = session.scalars(sa.select(ComponentUse).where(ComponentUse.posting_id == wrong.id)).all()
    for use in uses:
        session.add(
            ComponentUse(
                posting_id=posting.id,
                operation_id=use.operation_id,
                part_id=use.part_id,
                pieces=-use.pieces,
                source_lot_id=use.source_lot_id,
                receipt_id=use.receipt_id,
            )
        )
        if use.receipt_id is not None:
            lot_id = session.scalars(sa.select(LotOperation.lot_id).where(LotOperation.id == use.operation_id)).one()
            take_back(session, use.receipt_id, lot_id, use.pieces, by=by, now=act.recorded_at)
    for entry in wrong.entries:
        if entry.receipt_id is not None and wrong.verb is Verb.ISSUE_BLANKS:
            take_back(session, entry.receipt_id, entry.lot_id, entry.quantity, by=by, now=act.recorded_at)


def _restore_hold(wrong: Posting, lots: dict[int, Lot]) -> None:
    """Undo the flag of a whole lot's hold together with its mark."""
    for entry in wrong.entries:
        if entry.from_place is Place.STARTED and entry.quantity == 0:
            lots[entry.lot_id].hold_reason = "" if wrong.verb is Verb.HOLD else entry.reason
