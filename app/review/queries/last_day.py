"""What the floor put out and scrapped on the last day on which anything was done."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotCharacteristic, LotOperation, Place, Posting, Verb
from app.parts.models import Part, Revision
from app.quality.models import Nonconformance, Reading
from app.shared.words import local, shown_zone

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


def live() -> sa.ColumnElement[bool]:
    """Leave out what was undone, and the undoing."""
    undone = sa.select(Posting.reverses_id).where(Posting.reverses_id.is_not(None))
    return sa.and_(Posting.reverses_id.is_(None), Posting.id.not_in(undone))


def bounds(day: date) -> tuple[datetime, datetime]:
    """Return the first moment of a day in the shop and of the next one."""
    first = datetime.combine(day, datetime.min.time(), shown_zone())
    return first, datetime.combine(day + timedelta(days=1), datetime.min.time(), shown_zone())


@dataclass(frozen=True, slots=True)
class OpenNonconformance:
    """Pieces out of tolerance about which something is to be decided."""

    nonconformance: Nonconformance
    characteristic: LotCharacteristic
    lot: Lot
    part: Part


def last_work_and_open(session: orm.Session, now: datetime) -> tuple[datetime | None, list[OpenNonconformance]]:
    """Return when something was last signed off before today, None if long ago, and what is out of tolerance.

    One statement: the review has no more to spare.
    """
    today, _ = bounds(local(now).date())
    latest = (
        sa.select(sa.func.max(Posting.happened_at).label("at"))
        .where(
            Posting.happened_at < today,
            Posting.happened_at >= today - timedelta(days=AS_FAR_AS),
            Posting.verb.in_((Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.SCRAP)),
        )
        .subquery()
    )
    rows = session.execute(
        sa.select(latest.c.at, Nonconformance, LotCharacteristic, Lot, Part)
        .select_from(latest)
        .outerjoin(Nonconformance, Nonconformance.closed_at.is_(None))
        .outerjoin(Reading, Reading.id == Nonconformance.reading_id)
        .outerjoin(LotCharacteristic, LotCharacteristic.id == Reading.characteristic_id)
        .outerjoin(Lot, Lot.id == Nonconformance.lot_id)
        .outerjoin(Revision, Revision.id == Lot.revision_id)
        .outerjoin(Part, Part.id == Revision.part_id)
        .order_by(Nonconformance.number)
    ).all()
    return rows[0][0], [OpenNonconformance(*row[1:]) for row in rows if row[1] is not None]


def last_day(session: orm.Session, latest: datetime | None) -> Day | None:
    """Return what was done on the day of ``latest``; one statement."""
    return None if latest is None else _day(session, local(latest).date())


def _day(session: orm.Session, day: date) -> Day:
    """Read a day's good pieces, summed by operation, and its scrap, entry by entry; one statement."""
    since, until = bounds(day)
    cause = orm.aliased(LotOperation)
    passed_on = sa.and_(
        Posting.verb.in_((Verb.SIGN_OFF, Verb.SEND_AHEAD)),
        Entry.to_place.in_((Place.WAITING, Place.IN_STOCK)),
        Entry.cause_operation_id.is_(None),
    )
    scrapped = Entry.to_place == Place.SCRAPPED
    by_itself = sa.case((scrapped, Entry.id), else_=0).label("by_itself")
    pieces = sa.func.sum(Entry.quantity)
    rows = session.execute(
        sa.select(Lot, LotOperation, Part, cause, by_itself, pieces, sa.func.max(Entry.reason))
        .select_from(Entry)
        .join(Posting, Entry.posting_id == Posting.id)
        .join(LotOperation, Entry.from_operation_id == LotOperation.id)
        .join(Lot, LotOperation.lot_id == Lot.id)
        .join(Revision, Lot.revision_id == Revision.id)
        .join(Part, Revision.part_id == Part.id)
        .outerjoin(cause, Entry.cause_operation_id == cause.id)
        .where(Posting.happened_at >= since, Posting.happened_at < until, sa.or_(passed_on, scrapped), live())
        .group_by(Lot.id, LotOperation.id, Part.id, cause.id, by_itself)
        .order_by(Lot.number, LotOperation.number, by_itself)
    ).all()
    outputs = [Output(row[0], row[1], row[2], int(row[5])) for row in rows if not row[4]]
    scrap = [Scrapped(row[0], row[2], int(row[5]), row[6], row[3]) for row in rows if row[4]]
    return Day(day, outputs, sorted(scrap, key=lambda each: -each.pieces))
