"""What the floor put out and scrapped on the last day on which anything was done; what is out, and what drifts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Job, Lot, LotCharacteristic, LotOperation, Place, Posting, Verb
from app.parts.models import Part, Revision
from app.quality.models import Nonconformance, Reading
from app.quality.queries import RunDrift, drift_of
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


@dataclass(frozen=True, slots=True)
class Drifting:
    """A characteristic of a lot in work whose drift may put pieces of it out."""

    run: RunDrift
    characteristic: LotCharacteristic
    lot: Lot
    part: Part


@dataclass(frozen=True, slots=True)
class LastWork:
    """When something was last signed off before today, None if long ago; what is out of tolerance, and what drifts."""

    at: datetime | None
    out: list[OpenNonconformance]
    drifting: list[Drifting]


def last_work_and_measured(session: orm.Session, now: datetime) -> LastWork:
    """Return when work was last done, with what is out of tolerance and what drifts towards a limit.

    One statement: the review has no more to spare.
    """
    latest, told = _latest(now), _told()
    rows = session.execute(
        sa.select(latest.c.at, Nonconformance, Reading, LotCharacteristic, Lot, Part)
        .select_from(latest)
        .outerjoin(told, sa.true())
        .outerjoin(Reading, Reading.id == told.c.id)
        .outerjoin(LotCharacteristic, LotCharacteristic.id == Reading.characteristic_id)
        .outerjoin(LotOperation, LotOperation.id == LotCharacteristic.operation_id)
        .outerjoin(Nonconformance, sa.and_(Nonconformance.reading_id == Reading.id, Nonconformance.closed_at.is_(None)))
        .outerjoin(Lot, Lot.id == sa.func.coalesce(Nonconformance.lot_id, LotOperation.lot_id))
        .outerjoin(Revision, Revision.id == Lot.revision_id)
        .outerjoin(Part, Part.id == Revision.part_id)
        .order_by(Nonconformance.number, Reading.characteristic_id, Reading.happened_at, Reading.id)
    ).all()
    out = [OpenNonconformance(found, what, lot, part) for _, found, _, what, lot, part in rows if found is not None]
    return LastWork(rows[0][0], out, list(_drifting(rows)))


def _latest(now: datetime) -> sa.Subquery:
    today, _ = bounds(local(now).date())
    return (
        sa.select(sa.func.max(Posting.happened_at).label("at"))
        .where(
            Posting.happened_at < today,
            Posting.happened_at >= today - timedelta(days=AS_FAR_AS),
            Posting.verb.in_((Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.SCRAP)),
        )
        .subquery()
    )


def _told() -> sa.Subquery:
    """Choose the readings that opened what is still open, and the good ones of what is in work at a station."""
    opened = sa.select(Nonconformance.reading_id.label("id")).where(Nonconformance.closed_at.is_(None))
    in_work = (
        sa.select(Reading.id)
        .join(LotCharacteristic, LotCharacteristic.id == Reading.characteristic_id)
        .join(Job, Job.operation_id == LotCharacteristic.operation_id)
        .where(Reading.value.is_not(None), Reading.struck_at.is_(None))
    )
    return opened.union(in_work).subquery()


def _drifting(rows: Sequence[sa.Row[*tuple[Any, ...]]]) -> Iterator[Drifting]:
    """Return what drifts, of lots about which nothing is open, by the last reading of each piece."""
    runs: dict[int, dict[int, Reading]] = {}
    about: dict[int, tuple[LotCharacteristic, Lot, Part]] = {}
    for _, found, reading, what, lot, part in rows:
        if reading is not None and found is None:
            runs.setdefault(what.id, {})[reading.piece] = reading
            about[what.id] = (what, lot, part)
    for key, run in runs.items():
        what, lot, part = about[key]
        drift = drift_of(list(run.values()), what.limits)
        if drift is not None and drift.within(lot):
            yield Drifting(drift, what, lot, part)


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
        # Finished pieces leave the stock, at no operation: their scrap counts at the last one.
        .join(LotOperation, sa.func.coalesce(Entry.from_operation_id, Entry.to_operation_id) == LotOperation.id)
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
