"""From what a trace begins with to the lots that came from it and those that it came from."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotCharacteristic, LotDelivery, LotOperation, Place, Posting
from app.material.models import Issue, Receipt
from app.quality.models import Reading
from app.shipping.models import Shipment, ShipmentLine
from app.stations.queries import shop_zone
from app.trace.errors import TooManyLotsError
from app.trace.queries.subjects import Kind, Subject

MOST_LOTS = 2_000


@dataclass(frozen=True, slots=True)
class Days:
    """The days of the shop's calendar that a question is about, both included, and when they begin and end."""

    since: date
    until: date
    begins: datetime
    ends: datetime


def days_between(session: orm.Session, since: date, until: date) -> Days:
    """Return days with the moments at which they begin and end on the shop's wall clock."""
    zone = shop_zone(session)
    begins = datetime.combine(since, time(), zone)
    return Days(since, until, begins, datetime.combine(until + timedelta(days=1), time(), zone))


@dataclass(frozen=True, slots=True)
class Traced:
    """The lots of a trace.

    Attributes:
        own: those that the question is about.
        before: those that went into them: split from, joined, used as components, shipped before they came back.
        after: those that they went into.
    """

    own: frozenset[int]
    before: frozenset[int]
    after: frozenset[int]

    @property
    def all(self) -> frozenset[int]:
        """Return every lot of the trace."""
        return self.own | self.before | self.after

    def made(self, kind: Kind) -> frozenset[int]:
        """Return the lots whose making answers the question: what came of a heat, or what made up a shipment."""
        if kind in {Kind.HEAT, Kind.RECEIPT}:
            return self.own | self.after
        if kind in {Kind.SHIPMENT, Kind.DAY, Kind.DELIVERY}:
            return self.own | self.before
        return self.all


def walk(session: orm.Session, subject: Subject, days: Days) -> Traced:
    """Return the lots of a trace, over any number of splits, joins, fittings and returns; one statement.

    Raises:
        TooManyLotsError: more than ``MOST_LOTS``.
    """
    own = _own_lots(subject, days).cte("own")
    before, after = _way(own, "before", forward=False), _way(own, "after", forward=True)
    found = session.execute(
        sa.union_all(
            sa.select(own.c.lot_id, sa.literal("own").label("role")),
            sa.select(before.c.lot_id, sa.literal("before")),
            sa.select(after.c.lot_id, sa.literal("after")),
        ).limit(3 * MOST_LOTS + 1)
    ).all()
    lots = {role: frozenset(row.lot_id for row in found if row.role == role) for role in ("own", "before", "after")}
    traced = Traced(lots["own"], lots["before"] - lots["own"], lots["after"] - lots["own"])
    if len(traced.all) > MOST_LOTS:
        raise TooManyLotsError(MOST_LOTS)
    return traced


def lots_behind(session: orm.Session, lot_ids: Iterable[int]) -> frozenset[int]:
    """Return some lots with all that went into them; one statement."""
    own = sa.select(Lot.id.label("lot_id")).where(Lot.id.in_(set(lot_ids))).cte("own")
    return frozenset(session.scalars(sa.select(_way(own, "behind", forward=False).c.lot_id)))


def stands() -> sa.ColumnElement[bool]:
    """Say that a posting is neither undone nor an undoing.

    Written so that no index on ``reverses_id`` fits: nearly all have none, and SQLite would begin with all of them.
    """
    undoing = orm.aliased(Posting)
    return sa.and_(sa.func.coalesce(Posting.reverses_id, 0) == 0, ~sa.exists().where(undoing.reverses_id == Posting.id))


def _way(own: sa.CTE, name: str, *, forward: bool) -> sa.CTE:
    """Return the ``own`` lots with all that came of them (``forward``) or all that they came from.

    Pieces go from lot to lot in an entry of the giver, to the place 'other lot' (splits, joins, components), and in one
    of the taker, which starts with them (splits, joins, pieces that came back); each names the other side.
    """
    way = sa.select(own.c.lot_id).cte(name, recursive=True)
    started, given = Entry.from_place == Place.STARTED, Entry.to_place == Place.OTHER_LOT
    named, naming = (started, given) if forward else (given, started)
    step = sa.or_(
        sa.and_(Entry.other_lot_id == way.c.lot_id, named),
        sa.and_(Entry.lot_id == way.c.lot_id, naming, Entry.other_lot_id.is_not(None)),
    )
    return way.union(
        sa.select(sa.case((Entry.lot_id == way.c.lot_id, Entry.other_lot_id), else_=Entry.lot_id))
        .select_from(way)
        .join(Entry, step)
        .join(Posting, Entry.posting_id == Posting.id)
        .where(stands())
    )


def _own_lots(subject: Subject, days: Days) -> sa.Select[Any] | sa.CompoundSelect[Any]:
    key = subject.key
    match subject.kind:
        case Kind.LOT:
            return sa.select(Lot.id.label("lot_id")).where(Lot.id == key)
        case Kind.HEAT | Kind.RECEIPT:
            return _issued_to(subject)
        case Kind.SHIPMENT | Kind.DAY:
            return _shipped(of_shipments(subject))
        case Kind.DELIVERY:
            meant = sa.select(LotDelivery.lot_id).where(LotDelivery.delivery_id == key)
            return sa.union(_shipped(ShipmentLine.delivery_id == key), meant)
        case Kind.GAUGE:
            return _measured(subject, days)
        case Kind.PERSON | Kind.STATION:
            return sa.union(_worked_on(subject, days), _measured(subject, days))


def receipts_of(subject: Subject) -> sa.ColumnElement[bool]:
    """Say which receipts a heat or a receipt is."""
    return Receipt.heat == subject.heat if subject.heat else Receipt.id == subject.key


def of_shipments(subject: Subject) -> sa.ColumnElement[bool]:
    """Say which lines left with a shipment, or on a day."""
    if subject.kind is Kind.SHIPMENT:
        return ShipmentLine.shipment_id == subject.key
    return ShipmentLine.shipment_id.in_(sa.select(Shipment.id).where(Shipment.shipped_on == subject.day))


def _issued_to(subject: Subject) -> sa.Select[Any]:
    held = (
        sa.select(Issue.lot_id)
        .join(Issue.receipt)
        .where(receipts_of(subject))
        .group_by(Issue.receipt_id, Issue.lot_id)
        .having(sa.func.sum(Issue.pieces) > 0)
        .subquery()
    )
    return sa.select(held.c.lot_id).distinct()


def _shipped(which: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return (
        sa.select(ShipmentLine.lot_id)
        .join(ShipmentLine.shipment)
        .where(which, Shipment.taken_back_at.is_(None))
        .distinct()
    )


def readings_by(subject: Subject, days: Days) -> sa.ColumnElement[bool]:
    """Say which readings were taken with a gauge, by a person or at a station in some days."""
    column = {
        Kind.GAUGE: Reading.gauge_id,
        Kind.PERSON: Reading.person_id,
        Kind.STATION: Reading.station_id,
    }[subject.kind]
    return sa.and_(column == subject.key, Reading.happened_at >= days.begins, Reading.happened_at < days.ends)


def postings_by(subject: Subject, days: Days) -> sa.ColumnElement[bool]:
    """Say which postings a person made, or were made at a station, in some days."""
    column = Posting.person_id if subject.kind is Kind.PERSON else Posting.station_id
    return sa.and_(column == subject.key, Posting.happened_at >= days.begins, Posting.happened_at < days.ends)


def _worked_on(subject: Subject, days: Days) -> sa.Select[Any]:
    return sa.select(Entry.lot_id).join(Entry.posting).where(postings_by(subject, days), stands())


def _measured(subject: Subject, days: Days) -> sa.Select[Any]:
    return (
        sa.select(LotOperation.lot_id)
        .select_from(Reading)
        .join(LotCharacteristic, Reading.characteristic_id == LotCharacteristic.id)
        .join(LotOperation, LotCharacteristic.operation_id == LotOperation.id)
        .where(readings_by(subject, days))
        .distinct()
    )
