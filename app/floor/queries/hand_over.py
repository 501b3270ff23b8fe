"""What the last shift left at a station, and the notes that are shown there."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.models import HandOverSeen, Note
from app.lots.models import Entry, Lot, LotOperation, Place, Posting, Verb
from app.parts.models import Revision
from app.stations.models import Downtime, Station
from app.stations.queries import station_shifts

PASSED = frozenset({Place.WAITING, Place.IN_STOCK})


@dataclass(slots=True)
class Outcome:
    """What became of an operation's pieces during a shift."""

    operation: LotOperation
    good: int = 0
    counted: int = 0
    scrap: int = 0
    held: int = 0
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandOver:
    """What the last shift left: from ``began_at`` to the beginning of the one that reads it.

    Attributes:
        began_at, ended_at: the last shift.
        read_at: when the shift began that reads it.
        outcomes: what became of the pieces, by operation.
        downtimes: when the station was down meanwhile.
        notes: what that shift wrote down for the next.
        seen: who has seen it in this shift.
    """

    began_at: datetime
    ended_at: datetime
    read_at: datetime
    outcomes: list[Outcome]
    downtimes: list[Downtime]
    notes: list[Note]
    seen: list[HandOverSeen]

    @property
    def left_anything(self) -> bool:
        """Say whether there is anything to read."""
        return bool(self.outcomes or self.downtimes or self.notes)

    def is_new_to(self, person_id: int | None) -> bool:
        """Say whether this person has not seen it yet; where nobody acts, whether nobody has."""
        return not any(person_id in {None, each.person_id} for each in self.seen)


def hand_over(session: orm.Session, station: Station, now: datetime) -> HandOver | None:
    """Return what the last shift left for the one that runs now; None where none runs, or none ran before.

    A fixed number of statements, over the entries of one shift.
    """
    shifts = station_shifts(session, station, now)
    last, reading = shifts.last, shifts.current
    if last is None or reading is None:
        return None
    window = _moment(last.start), _moment(reading.start)
    return HandOver(
        began_at=_moment(last.start),
        ended_at=_moment(last.end),
        read_at=_moment(reading.start),
        outcomes=_outcomes(session, station.id, *window),
        downtimes=_downtimes(session, station.id, *window),
        notes=_shift_notes(session, station.id, *window),
        seen=_seen(session, station.id, _moment(reading.start)),
    )


def _moment(second: int) -> datetime:
    return datetime.fromtimestamp(second, UTC)


def _outcomes(session: orm.Session, station_id: int, since: datetime, until: datetime) -> list[Outcome]:
    undone = sa.select(Posting.reverses_id).where(Posting.reverses_id.is_not(None), Posting.happened_at >= since)
    entries = session.scalars(
        sa.select(Entry)
        .join(Entry.posting)
        .where(
            Posting.station_id == station_id,
            Posting.happened_at >= since,
            Posting.happened_at < until,
            Posting.reverses_id.is_(None),
            Posting.id.not_in(undone),
            Entry.quantity > 0,
            Entry.from_operation_id.is_not(None),
        )
        .order_by(Posting.happened_at, Entry.id)
        .options(
            orm.contains_eager(Entry.posting),
            orm.joinedload(Entry.from_operation)
            .joinedload(LotOperation.lot)
            .joinedload(Lot.revision)
            .joinedload(Revision.part),
        )
    )
    found: dict[int, Outcome] = {}
    for entry in entries:
        assert entry.from_operation is not None  # noqa: S101 - asked for
        _count(found.setdefault(entry.from_operation.id, Outcome(entry.from_operation)), entry)
    return [each for each in found.values() if each.good or each.counted or each.scrap or each.held]


def _count(outcome: Outcome, entry: Entry) -> None:
    verb = entry.posting.verb
    if entry.to_place is Place.SCRAPPED:
        outcome.scrap += entry.quantity
        outcome.reasons = tuple(dict.fromkeys((*outcome.reasons, entry.reason)))
    elif entry.to_place is Place.HELD:
        outcome.held += entry.quantity
        outcome.reasons = tuple(dict.fromkeys((*outcome.reasons, entry.reason)))
    elif verb is Verb.COUNT:
        outcome.counted += entry.quantity if entry.to_place is Place.COUNTED else -entry.quantity
    elif verb in {Verb.SIGN_OFF, Verb.SEND_AHEAD} and entry.to_place in PASSED and entry.cause_operation_id is None:
        outcome.good += entry.quantity


def _downtimes(session: orm.Session, station_id: int, since: datetime, until: datetime) -> list[Downtime]:
    return list(
        session.scalars(
            sa.select(Downtime)
            .where(
                Downtime.station_id == station_id,
                Downtime.starts_at < until,
                sa.or_(Downtime.ends_at > since, Downtime.end_is_guess),
            )
            .order_by(Downtime.starts_at)
        )
    )


def _shift_notes(session: orm.Session, station_id: int, since: datetime, until: datetime) -> list[Note]:
    chosen = _notes().where(Note.station_id == station_id, Note.shift_at >= since, Note.shift_at < until)
    return list(session.scalars(chosen))


def _seen(session: orm.Session, station_id: int, read_at: datetime) -> list[HandOverSeen]:
    return list(
        session.scalars(
            sa.select(HandOverSeen)
            .where(HandOverSeen.station_id == station_id, HandOverSeen.shift_at == read_at)
            .order_by(HandOverSeen.seen_at)
            .options(orm.joinedload(HandOverSeen.person))
        )
    )


def _notes() -> sa.Select[Note]:
    return (
        sa.select(Note)
        .where(Note.taken_down_at.is_(None))
        .order_by(Note.written_at, Note.id)
        .options(orm.joinedload(Note.person), orm.joinedload(Note.lot))
    )


def station_notes(session: orm.Session, station_id: int, lot_ids: Collection[int]) -> list[Note]:
    """Return the notes on a station and on the lots that are open there; one statement."""
    on_station = sa.and_(Note.station_id == station_id, Note.shift_at.is_(None))
    return list(session.scalars(_notes().where(sa.or_(on_station, Note.lot_id.in_(lot_ids)))))


def lot_notes(session: orm.Session, lot_id: int) -> list[Note]:
    """Return the notes on a lot; one statement."""
    return list(session.scalars(_notes().where(Note.lot_id == lot_id)))
