"""Pieces that may be as bad as one that was found out: they are named, held, and split off from the good ones."""

from dataclasses import replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.frequencies import Window, suspect_pieces
from app.core.quality.tolerances import Standing
from app.lots import services as ledger
from app.lots.models import Lot
from app.lots.services import Act
from app.quality import queries
from app.quality.errors import AlreadySplitError
from app.quality.models import Nonconformance, Reading
from app.shared.database import transaction
from app.shared.words import gettext, ngettext


def open_nonconformance(session: orm.Session, act: Act, before: queries.Measuring, reading: Reading) -> Nonconformance:
    """Name the pieces since the last good reading as suspect and put the lot on hold; inside a use case.

    Where something is open about the same characteristic, and nothing decided yet, its pieces become more.
    """
    item = next(each for each in before.items if each.characteristic.id == reading.characteristic_id)
    good = [piece for piece, each in item.last.items() if each.is_good and piece != reading.piece]
    suspect = suspect_pieces(good, reading.piece, before.made.made)
    window = Window(suspect.first, min(suspect.last, max(before.made.pieces, reading.piece)))
    found = _still_open(session, reading)
    if found is None:
        found = opened(session, act, reading, window)
    else:
        found.first_piece = min(found.first_piece, window.first)
        found.last_piece = max(found.last_piece, window.last)
    found.pieces = found.last_piece - found.first_piece + 1
    session.flush()
    hold_for(session, act, before.operation.lot, found)
    return found


def _still_open(session: orm.Session, reading: Reading) -> Nonconformance | None:
    return session.scalars(
        sa.select(Nonconformance)
        .join(Nonconformance.reading)
        .where(
            Reading.characteristic_id == reading.characteristic_id,
            Nonconformance.closed_at.is_(None),
            Nonconformance.decided == 0,
            Nonconformance.lot_id == reading.characteristic.operation.lot_id,
        )
    ).first()


def opened(session: orm.Session, act: Act, reading: Reading, window: Window) -> Nonconformance:
    """Return a new nonconformance about the pieces of a window, found where its reading belongs; inside a use case."""
    operation = reading.characteristic.operation
    last = session.scalars(sa.select(sa.func.max(Nonconformance.number))).one() or 0
    found = Nonconformance(
        number=last + 1,
        reading=reading,
        found_at_id=operation.id,
        lot_id=operation.lot_id,
        first_piece=window.first,
        last_piece=window.last,
        pieces=window.last - window.first + 1,
        decided=0,
        found_how="",
        opened_at=act.happened_at,
    )
    session.add(found)
    return found


def hold_for(session: orm.Session, act: Act, lot: Lot, found: Nonconformance) -> None:
    """Put a lot on hold for a nonconformance, unless it is held already; inside a use case."""
    if not lot.on_hold:
        ledger.hold_lot(session, replace(act, key=f"{act.key}/hold"), lot.id, queries.hold_words(found))


def split_suspects(session: orm.Session, act: Act, nonconformance_id: int) -> Lot:
    """Split the suspect pieces off as a lot of their own that stays on hold, and let the rest go on.

    Raises:
        NonconformanceNotFoundError: there is no such one.
        AlreadySplitError: they are split off, something is decided, or they are not all at the operation.
        LedgerError: the ledger refuses the split.
    """
    with transaction(session):
        found = queries.get_nonconformance(session, nonconformance_id, lock=True)
        operation = found.found_at
        if found.lot_id != operation.lot_id or found.decided:
            raise AlreadySplitError(gettext("They are split off already, or something is decided about them."))
        if operation.in_work + operation.counted < found.pieces:
            raise AlreadySplitError(
                ngettext(
                    "Only %(num)d piece made is at op %(number)s; the suspect ones are %(pieces)s. "
                    "The whole lot stays on hold.",
                    "Only %(num)d pieces made are at op %(number)s; the suspect ones are %(pieces)s. "
                    "The whole lot stays on hold.",
                    operation.in_work + operation.counted,
                    number=operation.number,
                    pieces=found.pieces,
                )
            )
        release_our_hold(session, replace(act, key=f"{act.key}/release"), operation.lot, found)
        child = ledger.split_lot(
            session, replace(act, key=f"{act.key}/split"), operation.id, found.pieces, made_first=True
        )
        ledger.hold_lot(session, replace(act, key=f"{act.key}/hold"), child.id, queries.hold_words(found))
        found.lot_id = child.id
    return child


def release_our_hold(session: orm.Session, act: Act, lot: Lot, found: Nonconformance) -> None:
    """Release the hold that a nonconformance put on a lot; a hold for another reason, or another one's, stays."""
    others = sa.select(Nonconformance.id).where(
        Nonconformance.lot_id == lot.id, Nonconformance.closed_at.is_(None), Nonconformance.id != found.id
    )
    if lot.hold_reason == queries.hold_words(found) and session.scalars(others).first() is None:
        ledger.release_lot_hold(session, act, lot.id)


def clear_if_unfounded(session: orm.Session, act: Act, found: Nonconformance) -> None:
    """Close a nonconformance that nothing speaks for any more, since its reading was struck out; inside a use case."""
    others = sa.select(Reading.id).where(
        Reading.characteristic_id == found.reading.characteristic_id,
        Reading.struck_at.is_(None),
        Reading.standing != Standing.GOOD,
        Reading.piece.between(found.first_piece, found.last_piece),
    )
    if found.closed_at is None and not found.decided and session.scalars(others).first() is None:
        found.closed_at = act.recorded_at
        session.flush()
        release_our_hold(session, replace(act, key=f"{act.key}/release"), found.lot, found)
