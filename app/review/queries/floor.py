"""What the floor did: output and scrap of the last working day, what is down, what was recorded late."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotOperation, Place, Posting, Verb
from app.parts.models import Part, Revision
from app.people.models import Person
from app.shared.words import local, shown_zone

LATE_MINUTES = 30
"""A sign-off written down this long after it happened is shown as recorded late."""
SIGNED = (Verb.SIGN_OFF, Verb.SCRAP, Verb.REWORK)
"""Entries that somebody makes when the work is done, and can forget."""
DAYS_SHOWN = 3
AS_FAR_AS = 12
"""Days to look back for the last day on which anything was done."""


@dataclass(frozen=True, slots=True)
class Output:
    """Good pieces that an operation of a lot passed on during a day."""

    lot: Lot
    operation: LotOperation
    part: Part
    good: int


@dataclass(frozen=True, slots=True)
class Scrapped:
    """Pieces scrapped during a day, with the reason and the operation that caused it."""

    lot: Lot
    part: Part
    pieces: int
    reason: str
    cause: LotOperation | None


@dataclass(frozen=True, slots=True)
class Day:
    """The last day before today on which anything was done, and what came of it."""

    day: date
    outputs: list[Output]
    scrapped: list[Scrapped]

    @property
    def good(self) -> int:
        """Return the good pieces of all operations."""
        return sum(each.good for each in self.outputs)

    @property
    def scrap(self) -> int:
        """Return the scrapped pieces."""
        return sum(each.pieces for each in self.scrapped)


def _live() -> sa.ColumnElement[bool]:
    """Leave out what was undone, and the undoing."""
    undone = sa.select(Posting.reverses_id).where(Posting.reverses_id.is_not(None))
    return sa.and_(Posting.reverses_id.is_(None), Posting.id.not_in(undone))


def bounds(day: date) -> tuple[datetime, datetime]:
    """Return the first moment of a day in the shop and of the next one."""
    first = datetime.combine(day, datetime.min.time(), shown_zone())
    return first, datetime.combine(day + timedelta(days=1), datetime.min.time(), shown_zone())


def last_day(session: orm.Session, now: datetime) -> Day | None:
    """Return what was done on the last day before today on which anything was signed off; None if long ago."""
    today, _ = bounds(local(now).date())
    latest: datetime | None = session.scalars(
        sa.select(sa.func.max(Posting.happened_at)).where(
            Posting.happened_at < today,
            Posting.happened_at >= today - timedelta(days=AS_FAR_AS),
            Posting.verb.in_((Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.SCRAP)),
        )
    ).one()
    if latest is None:
        return None
    day = local(latest).date()
    return Day(day, _outputs(session, *bounds(day)), _scrapped(session, *bounds(day)))


def _outputs(session: orm.Session, since: datetime, until: datetime) -> list[Output]:
    pieces = sa.func.sum(Entry.quantity).label("pieces")
    rows = session.execute(
        sa.select(Lot, LotOperation, Part, pieces)
        .join(Posting, Entry.posting_id == Posting.id)
        .join(LotOperation, Entry.from_operation_id == LotOperation.id)
        .join(Lot, LotOperation.lot_id == Lot.id)
        .join(Revision, Lot.revision_id == Revision.id)
        .join(Part, Revision.part_id == Part.id)
        .where(
            Posting.happened_at >= since,
            Posting.happened_at < until,
            Posting.verb.in_((Verb.SIGN_OFF, Verb.SEND_AHEAD)),
            Entry.to_place.in_((Place.WAITING, Place.IN_STOCK)),
            Entry.cause_operation_id.is_(None),
            _live(),
        )
        .group_by(Lot.id, LotOperation.id, Part.id)
        .order_by(Lot.number, LotOperation.number)
    )
    return [Output(lot, operation, part, int(good)) for lot, operation, part, good in rows]


def _scrapped(session: orm.Session, since: datetime, until: datetime) -> list[Scrapped]:
    cause = orm.aliased(LotOperation)
    rows = session.execute(
        sa.select(Lot, Part, Entry.quantity, Entry.reason, cause)
        .select_from(Entry)
        .join(Posting, Entry.posting_id == Posting.id)
        .join(Lot, Entry.lot_id == Lot.id)
        .join(Revision, Lot.revision_id == Revision.id)
        .join(Part, Revision.part_id == Part.id)
        .outerjoin(cause, Entry.cause_operation_id == cause.id)
        .where(
            Posting.happened_at >= since,
            Posting.happened_at < until,
            Entry.to_place == Place.SCRAPPED,
            _live(),
        )
        .order_by(Entry.quantity.desc(), Entry.id)
    )
    return [Scrapped(lot, part, pieces, reason, operation) for lot, part, pieces, reason, operation in rows]


@dataclass(frozen=True, slots=True)
class RecordedLate:
    """An entry that was written down well after it happened, or that the floor had to make up for."""

    posting: Posting
    lot: Lot
    operation: LotOperation | None
    pieces: int
    who: str | None


def recorded_late(session: orm.Session, now: datetime) -> list[RecordedLate]:
    """Return what was recorded late in the last days, newest first; two statements."""
    rows = session.execute(
        sa.select(Posting, Lot, LotOperation, sa.func.max(Entry.quantity), Person.name)
        .join(Entry, Entry.posting_id == Posting.id)
        .join(Lot, Entry.lot_id == Lot.id)
        .outerjoin(LotOperation, Entry.from_operation_id == LotOperation.id)
        .outerjoin(Person, Posting.person_id == Person.id)
        .where(Posting.id.in_(_late_postings(session, now - timedelta(days=DAYS_SHOWN))))
        .group_by(Posting.id, Lot.id, LotOperation.id, Person.id)
        .order_by(Posting.recorded_at.desc(), LotOperation.number)
    )
    return [RecordedLate(row[0], row[1], row[2], int(row[3]), row[4]) for row in rows]


def _late_postings(session: orm.Session, since: datetime) -> list[int]:
    rows = session.execute(
        sa.select(Posting.id, Posting.verb, Posting.happened_at, Posting.recorded_at).where(
            Posting.recorded_at >= since, Posting.verb.in_((Verb.RECORD_LATE, *SIGNED)), _live()
        )
    )
    slow = timedelta(minutes=LATE_MINUTES)
    return [row[0] for row in rows if row[1] is Verb.RECORD_LATE or row[3] - row[2] > slow]
