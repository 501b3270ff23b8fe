"""What the floor wrote down late."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotOperation, Posting, Verb
from app.people.models import Person
from app.review.queries.last_day import live

LATE_MINUTES = 30
"""A sign-off written down this long after it happened is shown as recorded late."""
SIGNED = (Verb.SIGN_OFF, Verb.SCRAP, Verb.REWORK)
"""Entries that somebody makes when the work is done, and can forget."""
DAYS_SHOWN = 3


@dataclass(frozen=True, slots=True)
class RecordedLate:
    """An entry that was written down well after it happened, or that the floor had to make up for."""

    posting: Posting
    lot: Lot
    operation: LotOperation | None
    pieces: int
    who: str | None


def recorded_late(session: orm.Session, now: datetime) -> list[RecordedLate]:
    """Return what was recorded late in the last days, newest first; one statement."""
    slow = LATE_MINUTES * 60
    rows = session.execute(
        sa.select(Posting, Lot, LotOperation, sa.func.max(Entry.quantity), Person.name)
        .join(Entry, Entry.posting_id == Posting.id)
        .join(Lot, Entry.lot_id == Lot.id)
        .outerjoin(LotOperation, Entry.from_operation_id == LotOperation.id)
        .outerjoin(Person, Posting.person_id == Person.id)
        .where(
            Posting.recorded_at >= now - timedelta(days=DAYS_SHOWN),
            sa.or_(
                Posting.verb == Verb.RECORD_LATE,
                sa.and_(Posting.verb.in_(SIGNED), _seconds(Posting.recorded_at) - _seconds(Posting.happened_at) > slow),
            ),
            live(),
        )
        .group_by(Posting.id, Lot.id, LotOperation.id, Person.id)
        .order_by(Posting.recorded_at.desc(), LotOperation.number)
    )
    return [RecordedLate(row[0], row[1], row[2], int(row[3]), row[4]) for row in rows]


def _seconds(moment: orm.InstrumentedAttribute[datetime]) -> sa.ColumnElement[int]:
    return sa.extract("epoch", moment)
