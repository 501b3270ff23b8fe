"""What the record lets the shop certify of a shipment, and what of it has to be said beside."""

from collections.abc import Iterator
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.tolerances import Standing
from app.lots.models import Entry, Lot, LotCharacteristic, LotOperation, Place, Posting, Verb
from app.quality.models import Disposition, Nonconformance, Outcome, Reading, Waiver
from app.shared.words import day, gettext, ngettext
from app.shipping.models import Shipment
from app.shipping.queries import get_shipment, heats_of_lots
from app.trace.errors import NotCertifiedError
from app.trace.queries.asking import lot_code
from app.trace.queries.walking import lots_behind, stands


@dataclass(frozen=True, slots=True)
class Reservation:
    """One thing that the certificate says beside its statement: of which lot, and what."""

    lot: str
    words: str


@dataclass(frozen=True, slots=True)
class Certificate:
    """A shipment as it is certified.

    Attributes:
        shipment: with its lines, lots, orders and parts loaded.
        heats: the heats of each lot.
        reservations: pieces accepted as they are, readings that are missing, heats that nobody knows.
    """

    shipment: Shipment
    heats: dict[int, list[str]]
    reservations: list[Reservation]


def certificate(session: orm.Session, shipment_id: int) -> Certificate:
    """Return what can be certified of a shipment, from the record of its lots and of all that went into them.

    Raises:
        ShipmentNotFoundError: there is no such shipment.
        NotCertifiedError: it was taken back, or something out of tolerance is not decided.
    """
    shipment = get_shipment(session, shipment_id)
    if shipment.taken_back_at is not None:
        raise NotCertifiedError(gettext("Shipment %(number)s was taken back.", number=shipment.number))
    lot_ids = {line.lot_id for line in shipment.lines}
    behind = lots_behind(session, lot_ids)
    _refuse_undecided(session, frozenset(lot_ids), behind)
    heats = heats_of_lots(session, lot_ids)
    reservations = [
        *_accepted_as_is(session, behind),
        *_let_go(session, behind),
        *_not_measured(session, behind),
        *_without_plan(session, shipment),
        *_without_heat(shipment, heats),
    ]
    return Certificate(shipment, heats, reservations)


def _refuse_undecided(session: orm.Session, shipped: frozenset[int], behind: frozenset[int]) -> None:
    """Refuse while something is undecided about a shipped lot, or about one whose suspect pieces may have come into it.

    Pieces that left a lot before its last good reading, or from an operation before the one where it was found, are
    not among the suspect ones.
    """
    numbers = session.scalars(
        sa.select(Nonconformance.number)
        .join(Nonconformance.reading)
        .join(Nonconformance.found_at)
        .where(
            Nonconformance.lot_id.in_(behind),
            Nonconformance.closed_at.is_(None),
            sa.or_(Nonconformance.lot_id.in_(shipped), _went_on(behind)),
        )
        .order_by(Nonconformance.number)
    ).all()
    if numbers:
        names = ", ".join(f"N{number}" for number in numbers)
        raise NotCertifiedError(gettext("Nothing is decided yet about all pieces of %(names)s.", names=names))


def _went_on(behind: frozenset[int]) -> sa.ColumnElement[bool]:
    """Say that pieces which may be suspect went from a nonconformance's lot into one of those that were shipped."""
    good = orm.aliased(Reading)
    last_good = (
        sa.select(sa.func.max(good.happened_at))
        .where(
            good.characteristic_id == Reading.characteristic_id,
            good.standing == Standing.GOOD,
            good.struck_at.is_(None),
            good.happened_at < Reading.happened_at,
        )
        .correlate(Reading)
        .scalar_subquery()
    )
    left_from = orm.aliased(LotOperation)
    before = (
        sa.exists()
        .where(left_from.id == Entry.from_operation_id, left_from.number < LotOperation.number)
        .correlate(Entry, LotOperation)
    )
    given = sa.and_(
        Entry.lot_id == Nonconformance.lot_id, Entry.to_place == Place.OTHER_LOT, Entry.other_lot_id.in_(behind)
    )
    came_back = sa.and_(
        Entry.other_lot_id == Nonconformance.lot_id, Posting.verb == Verb.TAKE_BACK, Entry.lot_id.in_(behind)
    )
    return (
        sa.exists()
        .select_from(Entry)
        .where(
            Entry.posting_id == Posting.id,
            sa.or_(given, came_back),
            stands(),
            Posting.happened_at >= sa.func.coalesce(last_good, Posting.happened_at),
            ~before,
        )
        .correlate(Nonconformance, Reading, LotOperation)
    )


def _accepted_as_is(session: orm.Session, lot_ids: frozenset[int]) -> Iterator[Reservation]:
    found = sa.select(Disposition, Nonconformance.number.label("found"), Lot.number, LotCharacteristic)
    rows = session.execute(
        found.join(Disposition.nonconformance)
        .join(Nonconformance.reading)
        .join(LotCharacteristic, Reading.characteristic_id == LotCharacteristic.id)
        .join(Lot, Nonconformance.lot_id == Lot.id)
        .where(Nonconformance.lot_id.in_(lot_ids), Disposition.outcome == Outcome.USE_AS_IS)
        .order_by(Disposition.id)
    )
    for row in rows:
        words = ngettext(
            "%(num)d piece accepted as it is (N%(number)s, characteristic %(what)s), agreed by %(who)s, %(day)s",
            "%(num)d pieces accepted as they are (N%(number)s, characteristic %(what)s), agreed by %(who)s, %(day)s",
            row.Disposition.pieces,
            number=row.found,
            what=f"{row.LotCharacteristic.number} {row.LotCharacteristic.name}",
            who=row.Disposition.agreed_by,
            day=day(row.Disposition.recorded_at),
        )
        yield Reservation(lot_code(row.number), words)


def _let_go(session: orm.Session, lot_ids: frozenset[int]) -> Iterator[Reservation]:
    rows = session.execute(
        sa.select(Waiver.missing, Waiver.reason, Lot.number, LotOperation.number.label("op"))
        .join(Waiver.operation)
        .join(LotOperation.lot)
        .where(LotOperation.lot_id.in_(lot_ids))
        .order_by(Waiver.id)
    )
    for row in rows:
        words = gettext("op %(op)s went on: %(missing)s %(reason)s", op=row.op, missing=row.missing, reason=row.reason)
        yield Reservation(lot_code(row.number), words)


def _not_measured(session: orm.Session, lot_ids: frozenset[int]) -> Iterator[Reservation]:
    """Name what has no reading at all although pieces have passed its operation in that very lot.

    Of a lot that was split off the earlier operations count as passed, but no entry of its own leaves them.
    """
    left = sa.exists().where(Entry.from_operation_id == LotOperation.id, Entry.quantity > 0)
    read = sa.exists().where(Reading.characteristic_id == LotCharacteristic.id, Reading.struck_at.is_(None))
    rows = session.execute(
        sa.select(LotCharacteristic.number.label("what"), LotCharacteristic.name, Lot.number)
        .join(LotCharacteristic.operation)
        .join(LotOperation.lot)
        .where(LotOperation.lot_id.in_(lot_ids), LotOperation.passed > 0, ~LotOperation.skipped, left, ~read)
        .order_by(Lot.number, LotCharacteristic.number)
    )
    for row in rows:
        words = gettext("no reading of characteristic %(what)s is on record", what=f"{row.what} {row.name}")
        yield Reservation(lot_code(row.number), words)


def _without_plan(session: orm.Session, shipment: Shipment) -> Iterator[Reservation]:
    lots = {line.lot_id: line.lot for line in shipment.lines}
    planned = set(
        session.scalars(
            sa.select(LotOperation.lot_id)
            .join(LotOperation.characteristics)
            .where(LotOperation.lot_id.in_(lots), ~LotOperation.skipped)
        )
    )
    for lot_id, lot in lots.items():
        if lot_id not in planned:
            words = gettext("it has no control plan, and nothing measured is on record")
            yield Reservation(lot_code(lot.number), words)


def _without_heat(shipment: Shipment, heats: dict[int, list[str]]) -> Iterator[Reservation]:
    lots = {line.lot_id: line.lot for line in shipment.lines if not heats[line.lot_id]}
    for lot in lots.values():
        yield Reservation(lot_code(lot.number), gettext("no heat is on record"))
