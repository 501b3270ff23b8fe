"""Readings of a lot's operation, and one of them."""

from collections.abc import Sequence

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.quality.errors import NoSuchMeasuringError, ReadingNotFoundError
from app.quality.models import Reading

SHOWN = 12


def characteristic_of(operation: LotOperation, characteristic_id: int) -> LotCharacteristic:
    """Return one of the characteristics of an operation.

    Raises:
        NoSuchMeasuringError: it is none of them.
    """
    for each in operation.characteristics:
        if each.id == characteristic_id:
            return each
    raise NoSuchMeasuringError


def planned_of(lot: Lot) -> list[LotCharacteristic]:
    """Return all that is measured of a lot, at operations that it does not pass over; by number."""
    found = [what for each in lot.operations if not each.skipped for what in each.characteristics]
    return sorted(found, key=lambda each: (each.number, each.id))


def get_reading(session: orm.Session, reading_id: int, *, lock: bool = False) -> Reading:
    """Return one reading with what was measured, under its lock where it is to be changed.

    Raises:
        ReadingNotFoundError: there is none.
    """
    chosen = sa.select(Reading).where(Reading.id == reading_id).options(*_WITH_ALL)
    if lock:
        chosen = chosen.with_for_update(of=Reading).execution_options(populate_existing=True)
    found = session.scalars(chosen).one_or_none()
    if found is None:
        raise ReadingNotFoundError
    return found


def last_readings(session: orm.Session, operation: LotOperation) -> Sequence[Reading]:
    """Return the last readings at an operation, the newest first, struck ones too."""
    own = [each.id for each in operation.characteristics]
    return session.scalars(
        sa.select(Reading)
        .where(Reading.characteristic_id.in_(own))
        .order_by(Reading.happened_at.desc(), Reading.id.desc())
        .limit(SHOWN)
        .options(*_WITH_ALL)
    ).all()


_WITH_ALL = (
    orm.joinedload(Reading.characteristic)
    .joinedload(LotCharacteristic.operation)
    .joinedload(LotOperation.lot)
    .joinedload(Lot.revision),
    orm.joinedload(Reading.person),
    orm.joinedload(Reading.gauge),
    orm.joinedload(Reading.struck_by),
)
