"""What was done and measured: readings, pieces out of tolerance, work at stations."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotCharacteristic, LotOperation, Place, Posting, Verb
from app.parts.models import Revision
from app.parts.queries import limits_words
from app.people.models import Person
from app.quality.models import Disposition, Gauge, Nonconformance, Reading
from app.quality.queries import characteristic_name, reading_words, standing_words
from app.shared.words import gettext
from app.stations.models import Station
from app.trace.queries.asking import PART, Chosen, Question, lot_code, newest_in_time, part_words
from app.trace.queries.lines import Line
from app.trace.queries.subjects import Kind
from app.trace.queries.walking import postings_by, readings_by, stands

WORK = (Verb.SIGN_OFF, Verb.RECORD_LATE, Verb.SEND_AHEAD, Verb.SCRAP, Verb.REWORK, Verb.BACK_TO_VENDOR)


def _of_readings(asked: Question) -> sa.ColumnElement[bool]:
    if asked.subject.kind.needs_days:
        return readings_by(asked.subject, asked.days)
    operations = sa.select(LotOperation.id).where(LotOperation.lot_id.in_(asked.made))
    return Reading.characteristic_id.in_(
        sa.select(LotCharacteristic.id).where(LotCharacteristic.operation_id.in_(operations))
    )


def readings(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose what was measured, struck readings too."""
    chosen = (
        sa.select(
            *(Reading, LotCharacteristic, LotOperation.number.label("op"), LotOperation.title),
            *(Lot.id.label("lot_id"), Lot.number, *PART, Gauge.id.label("gauge_id"), Gauge.name.label("gauge")),
            *(Station.id.label("station_id"), Station.name.label("station"), Person.name.label("person")),
        )
        .join(LotCharacteristic, Reading.characteristic_id == LotCharacteristic.id)
        .join(LotOperation, LotCharacteristic.operation_id == LotOperation.id)
        .join(LotOperation.lot)
        .join(Lot.revision)
        .join(Revision.part)
        .outerjoin(Gauge, Reading.gauge_id == Gauge.id)
        .outerjoin(Station, Reading.station_id == Station.id)
        .outerjoin(Person, Reading.person_id == Person.id)
        .where(_of_readings(asked))
    )
    return newest_in_time(chosen, Reading.happened_at, Reading.id, after, most)


def reading_line(row: Any) -> Line:
    """Tell of a reading with the digits that were typed."""
    reading, characteristic = row.Reading, row.LotCharacteristic
    return Line(
        reading.id,
        reading.happened_at,
        characteristic_name(characteristic),
        lot=lot_code(row.number),
        lot_id=row.lot_id,
        part=part_words(row),
        operation=f"{row.op} {row.title}",
        piece=gettext("%(piece)s, serial %(serial)s", piece=reading.piece, serial=reading.serial)
        if reading.serial
        else str(reading.piece),
        requirement=limits_words(characteristic),
        result=reading_words(reading),
        standing=standing_words(reading),
        gauge=row.gauge or "",
        gauge_id=row.gauge_id,
        station=row.station or "",
        station_id=row.station_id,
        person=row.person or "",
        note=gettext("struck out: %(reason)s", reason=reading.struck_reason) if reading.struck_at else "",
    )


def work(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose the pieces that left an operation: good, scrap or sent back."""
    mine = asked.subject.kind in {Kind.PERSON, Kind.STATION}
    where = postings_by(asked.subject, asked.days) if mine else Entry.lot_id.in_(asked.made)
    target = orm.aliased(LotOperation)
    # Finished pieces leave the stock: they are told at the operation to which they went.
    left_operation = sa.func.coalesce(Entry.from_operation_id, Entry.to_operation_id)
    chosen = (
        sa.select(
            *(Entry.id, Entry.quantity, Entry.to_place, Entry.reason, Posting.happened_at),
            *(LotOperation.number.label("op"), LotOperation.title, target.number.label("to_op")),
            *(Lot.id.label("lot_id"), Lot.number, *PART),
            *(Station.id.label("station_id"), Station.name.label("station"), Person.name.label("person")),
        )
        .join(Entry.posting)
        .join(LotOperation, left_operation == LotOperation.id)
        .outerjoin(target, Entry.to_operation_id == target.id)
        .join(Lot, Entry.lot_id == Lot.id)
        .join(Lot.revision)
        .join(Revision.part)
        .outerjoin(Station, Posting.station_id == Station.id)
        .outerjoin(Person, Posting.person_id == Person.id)
        .where(where, Posting.verb.in_(WORK), Entry.quantity > 0, stands())
    )
    return newest_in_time(chosen, Posting.happened_at, Entry.id, after, most)


def work_line(row: Any) -> Line:
    """Tell of pieces that left an operation."""
    return Line(
        row.id,
        row.happened_at,
        gettext("worked on"),
        lot=lot_code(row.number),
        lot_id=row.lot_id,
        part=part_words(row),
        operation=f"{row.op} {row.title}",
        pieces=row.quantity,
        result=_left_as(row),
        station=row.station or "",
        station_id=row.station_id,
        person=row.person or "",
        note=row.reason,
    )


def _left_as(row: Any) -> str:
    """Return as what pieces left an operation."""
    if row.to_place is Place.SCRAPPED:
        return gettext("scrap")
    if row.to_place is Place.AT_VENDOR:
        return gettext("back to the vendor")
    return gettext("sent back") if row.to_op is not None and row.to_op <= row.op else gettext("good")


def nonconformances(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose what was out of tolerance, a row for each decision about it."""
    key = sa.func.coalesce(Disposition.id, 0)
    chosen = (
        sa.select(
            *(Nonconformance, Disposition, Reading, LotCharacteristic, Person.name.label("person")),
            *(Lot.id.label("lot_id"), Lot.number, *PART, LotOperation.number.label("op"), LotOperation.title),
        )
        .join(Nonconformance.reading)
        .join(LotCharacteristic, Reading.characteristic_id == LotCharacteristic.id)
        .join(LotOperation, LotCharacteristic.operation_id == LotOperation.id)
        .join(Lot, Nonconformance.lot_id == Lot.id)
        .join(Lot.revision)
        .join(Revision.part)
        .outerjoin(Disposition, Disposition.nonconformance_id == Nonconformance.id)
        .outerjoin(Person, Disposition.person_id == Person.id)
        .where(sa.or_(_of_readings(asked), Nonconformance.lot_id.in_(asked.made)))
    )
    if after is not None:
        chosen = chosen.where(Nonconformance.id < after)
    return chosen.order_by(Nonconformance.id.desc(), key).limit(most)


def nonconformance_line(row: Any) -> Line:
    """Tell of pieces out of tolerance and one thing that was decided."""
    found, decided = row.Nonconformance, row.Disposition
    return Line(
        found.id,
        found.opened_at,
        characteristic_name(row.LotCharacteristic),
        lot=lot_code(row.number),
        lot_id=row.lot_id,
        part=part_words(row),
        operation=f"{row.op} {row.title}",
        pieces=decided.pieces if decided else found.left,
        requirement=limits_words(row.LotCharacteristic),
        result=reading_words(row.Reading),
        standing=decided.outcome.word if decided else gettext("nothing decided yet"),
        person=row.person or "",
        nonconformance=f"N{found.number}",
        nonconformance_id=found.id,
        note=", ".join(each for each in ((decided.agreed_by, decided.reason) if decided else ()) if each),
    )
