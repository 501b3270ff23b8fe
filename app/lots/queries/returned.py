"""How many shipped pieces of a lot came back."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, Posting, Verb


def taken_back(session: orm.Session, lot_id: int) -> int:
    """Return how many shipped pieces of a lot came back, less those that were entered by mistake."""
    back = (
        sa.select(Entry.lot_id).join(Entry.posting).where(Posting.verb == Verb.TAKE_BACK, Entry.other_lot_id == lot_id)
    )
    return session.scalars(sa.select(sa.func.coalesce(sa.func.sum(Lot.started), 0)).where(Lot.id.in_(back))).one()
