"""Scrapping what is left of a lot because nobody wants it, wherever its pieces are."""

from collections.abc import Iterator

from sqlalchemy import orm

from app.lots.errors import NotFreeError, ReasonMissingError, TooManyPiecesError
from app.lots.models import Lot, Place, Posting, Verb
from app.lots.queries.jobs import Source, draw, sources
from app.lots.queries.names import lot_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, write
from app.shared.database import transaction


def scrap_left(
    session: orm.Session, act: Act, lot_id: int, pieces: int, reason: str, *, given_up: int | None = None
) -> Posting:
    """Scrap pieces of a lot wherever they are: those at its first operations first, finished ones last.

    Args:
        session: the database session.
        act: who, when.
        lot_id: the lot.
        pieces: how many.
        reason: why nobody wants them.
        given_up: a delivery that no longer wants its pieces, though it is open.

    Raises:
        ReasonMissingError: no reason is given.
        TooManyPiecesError: fewer are there.
        NotFreeError: open deliveries, other than the one given up, are meant to get them.
    """
    content = {"lot": lot_id, "pieces": pieces, "reason": reason}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.SCRAP, content)
        if answer is not None:
            return answer
        if not reason.strip():
            raise ReasonMissingError
        there = sum(operation.present for operation in lot.operations) + lot.in_stock
        if not 1 <= pieces <= there:
            raise TooManyPiecesError(pieces, there, lot_name(lot))
        free = there - _owed(lot, given_up)
        if pieces > free:
            raise NotFreeError(lot_name(lot), max(0, free))
        return write(session, act, Verb.SCRAP, content, list(_moves(session, lot, pieces, reason.strip())))


def _owed(lot: Lot, given_up: int | None) -> int:
    others = (share for share in lot.deliveries if share.open and share.delivery_id != given_up)
    return sum(share.quantity - share.shipped for share in others)


def _moves(session: orm.Session, lot: Lot, pieces: int, reason: str) -> Iterator[Move]:
    for operation in lot.operations:
        found = [*sources(session, operation, None), Source(Place.HELD, operation.held)]
        for taken in draw(found, min(pieces, operation.present)):
            pieces -= taken.pieces
            target = at(operation, Place.SCRAPPED)
            yield Move(
                lot, taken.pieces, at(operation, taken.place), target, station_id=taken.station_id, reason=reason
            )
    if pieces:
        yield Move(lot, pieces, Spot(Place.IN_STOCK), at(lot.operations[-1], Place.SCRAPPED), reason=reason)
