"""Pieces that turn out bad after they have left the operation at which they were measured."""

from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.frequencies import Window
from app.lots.models import Lot
from app.lots.queries.names import lot_name
from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.lots.services.books import lock_lot
from app.quality import queries
from app.quality.errors import (
    FoundHowError,
    NoneLeftHereError,
    NoSuchMeasuringError,
    NotOutError,
    NotThatManyLeftError,
)
from app.quality.models import Nonconformance, Reading
from app.quality.services.keys import kept_before
from app.quality.services.reading_values import NewReading, read_reading, usable_gauge
from app.quality.services.suspects import hold_for, opened
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class FoundLater:
    """What was found of a lot whose pieces have moved on, as it is typed.

    Attributes:
        reading: the bad reading: of which characteristic, what, of which piece, with which gauge.
        pieces: how many pieces that are still here may be as bad, that one included.
        how: how it was found.
    """

    reading: NewReading
    pieces: int
    how: str


def report_found_later(session: orm.Session, act: Act, lot_id: int, new: FoundLater) -> Nonconformance:
    """Put on record that pieces of a lot are out of tolerance, wherever they are by now, and hold the lot.

    Raises:
        NoSuchMeasuringError: the lot has no such characteristic.
        DispositionError: nothing is out, no pieces are left here or not so many, or nothing says how it was found.
        MeasuringRefusedError: the reading makes no sense, or needs a question answered (FarOutError).
    """
    content = {"lot": lot_id, **asdict(new)}
    content["reading"] = {name: value for name, value in content["reading"].items() if name != "sure"}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        kept = kept_before(session, Reading, act.key, content)
        if kept is not None:
            return session.scalars(sa.select(Nonconformance).where(Nonconformance.reading_id == kept.id)).one()
        _check(lot, new)
        reading = _read(session, act, lot, new, content)
        found = opened(session, act, reading, _suspects(reading.piece, new.pieces))
        found.found_how = new.how.strip()
        session.flush()
        hold_for(session, act, lot, found)
    return found


def _check(lot: Lot, new: FoundLater) -> None:
    here = pieces_left(lot)
    if not here:
        raise NoneLeftHereError(lot_name(lot))
    if not 1 <= new.pieces <= here:
        raise NotThatManyLeftError(here)
    if not new.how.strip():
        raise FoundHowError


def pieces_left(lot: Lot) -> int:
    """Return how many pieces of a lot are still in the shop, finished or not."""
    return sum(each.present for each in lot.operations) + lot.in_stock


def _read(session: orm.Session, act: Act, lot: Lot, new: FoundLater, content: dict[str, object]) -> Reading:
    characteristic = next((each for each in queries.planned_of(lot) if each.id == new.reading.characteristic_id), None)
    if characteristic is None:
        raise NoSuchMeasuringError
    reading = read_reading(characteristic, new.reading)
    if reading.is_good:
        raise NotOutError
    reading.piece = new.reading.piece or 1
    reading.serial = new.reading.serial
    reading.gauge = usable_gauge(session, characteristic, new.reading, act)
    reading.person_id, reading.station_id = act.person_id, act.station_id
    reading.happened_at, reading.recorded_at = act.happened_at, act.recorded_at
    reading.client_key, reading.content_hash = act.key, content_hash(Reading.__name__, content)
    session.add(reading)
    session.flush()
    return reading


def _suspects(piece: int, pieces: int) -> Window:
    first = max(1, piece - pieces + 1)
    return Window(first, first + pieces - 1)
