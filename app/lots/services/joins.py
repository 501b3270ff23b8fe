"""Joining lots: the pieces of one go on with another, which keeps where they came from and so their heats."""

from sqlalchemy import orm

from app.lots.errors import JoinError, ReasonMissingError
from app.lots.models import Lot, LotDelivery, LotOperation, Place, Posting, Verb
from app.lots.queries.joins import next_operation, why_not_joined
from app.lots.queries.names import lot_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, Spot, at, lock_lots, write
from app.lots.services.due import refresh_due
from app.shared.database import transaction
from app.shared.words import gettext


def join_lots(session: orm.Session, act: Act, lot_id: int, joined_id: int) -> Posting:
    """Let all pieces of the joined lot go on in another of the same part and revision that waits at the same operation.

    What it owed to deliveries goes along; the joined lot closes. It is undone by splitting the lot again.

    Raises:
        ReasonMissingError: no reason is given (``act.note``).
        JoinError: they are not alike, one is on hold, or their pieces do not all wait at the same operation.
        LotNotFoundError: there is no such lot.
    """
    content = {"into": lot_id, "joined": joined_id}
    with transaction(session):
        lots = lock_lots(session, {lot_id, joined_id})
        answer = earlier_answer(session, act, Verb.JOIN, content)
        if answer is not None:
            return answer
        if not act.note.strip():
            raise ReasonMissingError
        lot, joined = lots[lot_id], lots[joined_id]
        refused = why_not_joined(lot, joined)
        if refused:
            raise JoinError(refused)
        here, there = next_operation(lot), next_operation(joined)
        assert here is not None and there is not None  # noqa: S101, PT018 - for the type checker: checked above
        posting = write(session, act, Verb.JOIN, content, _moves(here, there))
        _share_needs(session, lot, joined)
        for each in (lot, joined):
            refresh_due(session, each)
    return posting


def _moves(here: LotOperation, there: LotOperation) -> list[Move]:
    lot, joined, pieces = here.lot, there.lot, there.waiting
    return [
        Move(
            joined,
            pieces,
            at(there, Place.WAITING),
            Spot(Place.OTHER_LOT),
            other_lot_id=lot.id,
            reason=gettext("joined into lot %(lot)s", lot=lot_name(lot)),
        ),
        Move(
            lot,
            pieces,
            Spot(Place.STARTED),
            at(here, Place.WAITING),
            other_lot_id=joined.id,
            reason=gettext("lot %(lot)s joined: %(pieces)s more", lot=lot_name(joined), pieces=pieces),
        ),
    ]


def _share_needs(session: orm.Session, lot: Lot, joined: Lot) -> None:
    lot.needed, joined.needed = lot.needed + joined.needed, 0
    own = {share.delivery_id: share for share in lot.deliveries}
    for share in list(joined.deliveries):
        taken = share.quantity - share.shipped
        if taken == 0:
            continue
        if share.delivery_id in own:
            own[share.delivery_id].quantity += taken
        else:
            lot.deliveries.append(LotDelivery(delivery=share.delivery, quantity=taken))
        if share.shipped:
            share.quantity = share.shipped
        else:
            joined.deliveries.remove(share)
    session.flush()
