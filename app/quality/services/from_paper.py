"""Readings that were written on a traveler by pen, and what an inspector signed there instead of them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import LotCharacteristic, LotOperation
from app.lots.services import Act
from app.people.models import Person
from app.quality import queries
from app.quality.errors import (
    FarOutError,
    MayNotWaiveError,
    NoSuchPieceError,
    OutOnPaperError,
    PaperLineError,
    WhyMissingError,
)
from app.quality.models import AllChecked, Gauge, Reading, Waiver
from app.quality.services.reading_values import NewReading, read_reading, usable_gauge
from app.quality.services.readings import MAY_WAIVE
from app.shared.words import gettext, local

CLOCK = re.compile(r"^([01]?\d|2[0-3]):([0-5]\d)$")
SURE, LEAST_WORDS = "!", 3
ANSWERS = {"yes": True, "no": False}


@dataclass(frozen=True, slots=True)
class PaperReadings:
    """What stands on paper about measuring, beside a row of a traveler.

    Attributes:
        operation_id: the operation.
        lines: a line for each reading: characteristic, piece, value, and the gauge and the time where they are known.
        all_checked: all pieces were checked.
        pieces: how many are done with at the operation once the row is kept.
        inspector_id: who let it go on without readings; None: nobody.
        why: their reason.
    """

    operation_id: int
    lines: str
    all_checked: bool
    pieces: int
    inspector_id: int | None
    why: str


def keep_paper_readings(session: orm.Session, act: Act, new: PaperReadings) -> None:
    """Keep readings as taken when the row was done, before the row itself is kept.

    Inside its use case, which undoes what was kept of a sheet that is refused.

    Raises:
        NoSuchMeasuringError: nothing is measured there.
        MeasuringRefusedError: a line makes no sense, is in doubt, or is out; or the reason or right of an inspector is
            missing.
    """
    operation = queries.measured_operation(session, new.operation_id)
    for number, line in enumerate(new.lines.splitlines(), start=1):
        if line.strip():
            session.add(_reading(session, replace(act, key=f"{act.key}/reading {number}"), operation, line))
    if new.all_checked and new.pieces:
        session.add(AllChecked(operation_id=operation.id, pieces=new.pieces, **_stamp(act, "all checked")))
    if new.inspector_id is not None and new.pieces:
        session.add(_waiver(session, act, operation, new))
    session.flush()


def _reading(session: orm.Session, act: Act, operation: LotOperation, line: str) -> Reading:
    words = line.split()
    if len(words) < LEAST_WORDS or not words[1].isdigit():
        raise PaperLineError(line)
    characteristic = _characteristic(operation, words[0], line)
    at, gauge = _when(act.happened_at, words[3:]), _gauge(session, words[3:])
    new = NewReading(
        characteristic_id=characteristic.id,
        typed=words[2].rstrip(SURE),
        met=ANSWERS.get(words[2].lower()),
        piece=int(words[1]),
        gauge_id=gauge,
        sure=words[2].rstrip(SURE) if words[2].endswith(SURE) else "",
    )
    reading = _read(characteristic, new)
    if not 1 <= int(words[1]) <= operation.lot.started:
        raise NoSuchPieceError(operation.lot.started)
    if not reading.is_good:
        raise OutOnPaperError(line, queries.standing_words(reading))
    reading.piece, reading.serial = int(words[1]), ""
    reading.gauge = usable_gauge(session, characteristic, new, replace(act, happened_at=at))
    for name, value in _stamp(replace(act, happened_at=at), "").items():
        setattr(reading, name, value)
    return reading


def _read(characteristic: LotCharacteristic, new: NewReading) -> Reading:
    try:
        return read_reading(characteristic, new)
    except FarOutError as error:
        raise PaperLineError(str(error), gettext("Write ! behind it if it is right.")) from None


def _characteristic(operation: LotOperation, number: str, line: str) -> LotCharacteristic:
    for each in operation.characteristics:
        if str(each.number) == number:
            return each
    raise PaperLineError(line)


def _when(done: datetime, words: list[str]) -> datetime:
    """Return when a reading was taken: at the time that its line names, on the day of the row; else at its end."""
    for hour, minute in _clocks(words):
        return local(done).replace(hour=hour, minute=minute, second=0).astimezone(done.tzinfo)
    return done


def _clocks(words: list[str]) -> Iterator[tuple[int, int]]:
    for word in words:
        found = CLOCK.match(word)
        if found:
            yield int(found[1]), int(found[2])


def _gauge(session: orm.Session, words: list[str]) -> int | None:
    names = [word.lower() for word in words if not CLOCK.match(word)]
    return session.scalars(sa.select(Gauge.id).where(sa.func.lower(Gauge.name).in_(names))).first() if names else None


def _waiver(session: orm.Session, act: Act, operation: LotOperation, new: PaperReadings) -> Waiver:
    inspector = session.get_one(Person, new.inspector_id)
    if not inspector.has_role(*MAY_WAIVE):
        raise MayNotWaiveError(inspector.name)
    if not new.why.strip():
        raise WhyMissingError
    stamp = _stamp(act, "waiver") | {"person_id": inspector.id}
    said = gettext("written on the traveler")
    return Waiver(operation_id=operation.id, pieces=new.pieces, reason=new.why.strip(), missing=said, **stamp)


def _stamp(act: Act, what: str) -> dict[str, object]:
    return {
        "station_id": act.station_id,
        "person_id": act.person_id,
        "happened_at": act.happened_at,
        "recorded_at": act.recorded_at,
        "client_key": f"{act.key}/{what}" if what else act.key,
        "content_hash": "",
    }
