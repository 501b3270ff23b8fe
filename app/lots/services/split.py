"""Splitting a lot in two, and taking finished pieces out to ship."""

from collections.abc import Iterator

from sqlalchemy import orm

from app.lots.errors import LotOnHoldError, SplitError, TooManyPiecesError
from app.lots.models import Lot, LotDelivery, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import Source, draw, sources
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lot, lock_operations, write
from app.lots.services.due import refresh_due
from app.lots.services.release import new_lot_like
from app.shared.database import transaction
from app.shared.words import gettext


def split_lot(session: orm.Session, act: Act, operation_id: int, pieces: int, *, made_first: bool = False) -> Lot:
    """Give some of the pieces at an operation a traveler of their own; they wait there as a new lot.

    The new lot takes over the latest deliveries, as far as its pieces go. Those that wait are taken first, or with
    ``made_first`` those that were made: counted, then in work.

    Raises:
        LotOnHoldError: the lot is on hold.
        SplitError: one of the two would have no pieces.
        TooManyPiecesError: fewer pieces are at the operation and not held.
    """
    content = {"operation": operation_id, "pieces": pieces}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, Verb.SPLIT, content)
        if answer is not None:
            return answer.entries[-1].lot
        parent = operation.lot
        found = _takeable(session, operation, made_first=made_first)
        _check_split(parent, operation, pieces, sum(each.pieces for each in found))
        child = new_lot_like(session, act, parent)
        moves = list(_split_moves(parent, child, operation, draw(found, pieces)))
        write(session, act, Verb.SPLIT, content, moves)
        _share_needs(parent, child, pieces)
        for lot in (parent, child):
            refresh_due(session, lot)
    return child


def _takeable(session: orm.Session, operation: LotOperation, *, made_first: bool) -> list[Source]:
    order = [Place.COUNTED, Place.IN_WORK, Place.WAITING] if made_first else [Place.WAITING]
    place = {each: at for at, each in enumerate(order)}
    return sorted(sources(session, operation, None), key=lambda source: place.get(source.place, len(order)))


def _check_split(parent: Lot, operation: LotOperation, pieces: int, there: int) -> None:
    if parent.on_hold:
        raise LotOnHoldError(lot_name(parent), parent.hold_reason)
    if not 1 <= pieces <= there:
        raise TooManyPiecesError(pieces, there, operation_name(operation))
    left = sum(each.present for each in parent.operations) + parent.in_stock
    if pieces >= left:
        raise SplitError(gettext("All pieces of %(lot)s would go. Leave at least one.", lot=lot_name(parent)))


def _split_moves(parent: Lot, child: Lot, operation: LotOperation, taken: Iterator[Source]) -> Iterator[Move]:
    total = 0
    for each in taken:
        total += each.pieces
        origin = at(operation, each.place)
        yield Move(
            parent,
            each.pieces,
            origin,
            Spot(Place.OTHER_LOT),
            other_lot_id=child.id,
            station_id=each.station_id,
        )
    there = next(each for each in child.operations if each.number == operation.number)
    yield Move(child, total, Spot(Place.STARTED), at(there, Place.WAITING), other_lot_id=parent.id)


def _share_needs(parent: Lot, child: Lot, pieces: int) -> None:
    child.needed = min(pieces, parent.needed)
    parent.needed -= child.needed
    left = child.needed
    for share in sorted(parent.deliveries, key=lambda each: (each.delivery.leave_day, each.id), reverse=True):
        taken = min(share.quantity - share.shipped, left)
        if taken == 0:
            continue
        left -= taken
        child.deliveries.append(LotDelivery(delivery=share.delivery, quantity=taken))
        if taken == share.quantity:
            parent.deliveries.remove(share)
        else:
            share.quantity -= taken


def ship_pieces(session: orm.Session, act: Act, lot_id: int, pieces: int) -> Posting:
    """Take finished pieces of a lot out of stock because they leave for a customer.

    Raises:
        LotOnHoldError: the lot is on hold.
        TooManyPiecesError: fewer are in stock.
    """
    content = {"lot": lot_id, "pieces": pieces}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.SHIP, content)
        if answer is not None:
            return answer
        if lot.on_hold:
            raise LotOnHoldError(lot_name(lot), lot.hold_reason)
        if not 1 <= pieces <= lot.in_stock:
            raise TooManyPiecesError(pieces, lot.in_stock, gettext("stock of %(lot)s", lot=lot_name(lot)))
        move = Move(lot, pieces, Spot(Place.IN_STOCK), Spot(Place.SHIPPED))
        return write(session, act, Verb.SHIP, content, [move])
