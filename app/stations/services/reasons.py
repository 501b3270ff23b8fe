"""The usual reasons that stations offer as keys: add one, retire one, offer it again. None is ever deleted."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import lock_row, transaction
from app.shared.errors import Problem, refuse
from app.stations.errors import ReasonKnownError, ReasonNotFoundError
from app.stations.models import ReasonUse, UsualReason


def add_reason(session: orm.Session, use: ReasonUse, words: str) -> UsualReason:
    """Offer a reason after the others; one that was retired is offered again.

    Raises:
        RefusedError: it is offered already.
    """
    with transaction(session):
        same = sa.func.lower(UsualReason.words) == words.lower()
        found = session.scalars(sa.select(UsualReason).where(UsualReason.use == use, same)).first()
        if found is not None and found.active:
            refuse([Problem("words", ReasonKnownError(found.words))])
        if found is None:
            found = UsualReason(use=use, words=words)
            session.add(found)
        found.active = True
    return found


def retire_reason(session: orm.Session, reason_id: int) -> UsualReason:
    """Offer a reason no longer; what was recorded with it keeps it.

    Raises:
        ReasonNotFoundError: there is no such reason.
    """
    return _offer(session, reason_id, active=False)


def offer_reason(session: orm.Session, reason_id: int) -> UsualReason:
    """Offer a retired reason again.

    Raises:
        ReasonNotFoundError: there is no such reason.
    """
    return _offer(session, reason_id, active=True)


def _offer(session: orm.Session, reason_id: int, *, active: bool) -> UsualReason:
    with transaction(session):
        found = lock_row(session, UsualReason, reason_id)
        if found is None:
            raise ReasonNotFoundError
        found.active = active
    return found
