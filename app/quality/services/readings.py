"""Taking readings: read exactly, questioned where they look like a slip, and a bad one holds its lot."""

from dataclasses import asdict, dataclass, replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.tolerances import Standing
from app.lots import services as ledger
from app.lots.models import Job, JobState, LotCharacteristic, LotOperation
from app.lots.queries.jobs import job_at
from app.lots.queries.names import operation_name
from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.lots.services.books import lock_operations
from app.people.models import Person, Role
from app.quality import queries
from app.quality.errors import (
    AlreadyStruckError,
    FirstPieceNotGoodError,
    MayNotStrikeError,
    MayNotWaiveError,
    NoSuchPieceError,
    NothingMissingError,
    NotMadeError,
    SerialMissingError,
    SignedOffError,
    WhyMissingError,
)
from app.quality.models import AllChecked, Nonconformance, Reading, Waiver
from app.quality.services.keys import kept_before
from app.quality.services.reading_values import NewReading, read_reading, usable_gauge
from app.quality.services.suspects import clear_if_unfounded, open_nonconformance
from app.shared.database import transaction

MAY_WAIVE = (Role.INSPECTOR,)
MAY_DECIDE = (Role.INSPECTOR, Role.OWNER)
"""Who decides about suspect pieces."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What came of a reading: the row, and the nonconformance where it was out."""

    reading: Reading
    nonconformance: Nonconformance | None = None


def record_reading(session: orm.Session, act: Act, operation_id: int, new: NewReading) -> Recorded:
    """Keep a reading. One out of limits names the suspect pieces and puts the lot on hold.

    A bad first piece while the machine is being set up holds nothing: it is adjusted and measured again, and the run
    waits for a good one.

    Raises:
        NoSuchMeasuringError: nothing like that is measured at the operation.
        MeasuringRefusedError: the reading makes no sense, or needs a question answered (FarOutError).
    """
    content = {"operation": operation_id, **asdict(replace(new, sure=""))}
    with transaction(session):
        lock_operations(session, [operation_id])
        kept = kept_before(session, Reading, act.key, content)
        if kept is not None:
            return Recorded(kept, _opened_by(session, kept))
        operation = queries.measured_operation(session, operation_id)
        characteristic = queries.characteristic_of(operation, new.characteristic_id)
        _check_open(operation)
        measuring = queries.measuring(session, operation, act.happened_at)
        reading = read_reading(characteristic, new)
        reading.piece = _piece(measuring, characteristic, new)
        reading.gauge = usable_gauge(session, characteristic, new, act)
        reading.serial = _serial(characteristic, new)
        _stamp(reading, act, content_hash(Reading.__name__, content))
        session.add(reading)
        session.flush()
        return _follow_up(session, act, measuring, reading)


def _check_open(operation: LotOperation) -> None:
    if operation.present:
        return
    if operation.done:
        raise SignedOffError(operation_name(operation))
    raise NotMadeError(operation_name(operation))


def _piece(measuring: queries.Measuring, characteristic: LotCharacteristic, new: NewReading) -> int:
    item = next(each for each in measuring.items if each.characteristic is characteristic)
    piece = new.piece if new.piece is not None else item.next_piece(measuring.made.made)
    if not 1 <= piece <= max(measuring.made.pieces, 1):
        raise NoSuchPieceError(measuring.made.pieces)
    return piece


def _serial(characteristic: LotCharacteristic, new: NewReading) -> str:
    if characteristic.asks_serial and not new.serial:
        raise SerialMissingError
    return new.serial


def _stamp(reading: Reading, act: Act, fingerprint: str) -> None:
    reading.station_id, reading.person_id = act.station_id, act.person_id
    reading.happened_at, reading.recorded_at = act.happened_at, act.recorded_at
    reading.client_key, reading.content_hash = act.key, fingerprint


def _follow_up(session: orm.Session, act: Act, before: queries.Measuring, reading: Reading) -> Recorded:
    job = job_at(session, before.operation.id, act.station_id)
    if reading.standing is not Standing.GOOD:
        if reading.piece == 1 and job is not None and job.state is JobState.SETTING_UP:
            return Recorded(reading)
        return Recorded(reading, open_nonconformance(session, act, before, reading))
    _pass_first_piece(session, act, before.operation, job)
    return Recorded(reading)


def _pass_first_piece(session: orm.Session, act: Act, operation: LotOperation, job: Job | None) -> None:
    """Record the first piece as good once all that is asked of it is measured, where the routing asks for it."""
    if not operation.first_piece or job is None or job.first_piece_good or operation.lot.on_hold:
        return
    measuring = queries.measuring(session, operation, act.happened_at)
    asked = [each for each in measuring.items if each.characteristic.first_piece]
    if asked and all(each.passed_first for each in asked):
        ledger.first_piece_good(session, replace(act, key=f"{act.key}/first"), operation.id)


def refuse_run(session: orm.Session, act: Act, operation: LotOperation) -> None:
    """Refuse to run on before the first piece has passed, where the plan asks for it.

    Raises:
        FirstPieceNotGoodError: it has not, and no inspector let it go on.
    """
    if not operation.measured:
        return
    measuring = queries.measuring(session, queries.measured_operation(session, operation.id), act.happened_at)
    waiting = [queries.characteristic_name(each.characteristic) for each in measuring.items if not each.passed_first]
    if waiting and not measuring.waived:
        raise FirstPieceNotGoodError(waiting)


def _opened_by(session: orm.Session, reading: Reading) -> Nonconformance | None:
    return session.scalars(sa.select(Nonconformance).where(Nonconformance.reading_id == reading.id)).one_or_none()


def strike_reading(session: orm.Session, act: Act, reading_id: int, reason: str, person: Person) -> Reading:
    """Strike a wrong reading out: it no longer counts, and stays on record with who struck it and why.

    Where it made pieces suspect about which nothing is decided, and no other bad reading does, they no longer are.

    Raises:
        ReadingNotFoundError: there is no such reading.
        WhyMissingError: no reason is given.
        AlreadyStruckError: it is struck out already.
        MayNotStrikeError: it made pieces suspect, and the person is neither inspector nor owner.
    """
    with transaction(session):
        reading = queries.get_reading(session, reading_id, lock=True)
        if not reason.strip():
            raise WhyMissingError
        if reading.struck_at is not None:
            raise AlreadyStruckError
        opened = _opened_by(session, reading)
        if opened is not None and not person.has_role(*MAY_DECIDE):
            raise MayNotStrikeError(person.name)
        reading.struck_at, reading.struck_by_id, reading.struck_reason = act.recorded_at, act.person_id, reason.strip()
        if opened is not None:
            clear_if_unfounded(session, act, opened)
    return reading


def say_all_checked(session: orm.Session, act: Act, operation_id: int) -> AllChecked:
    """Keep that all pieces made by now were checked.

    Raises:
        NoSuchMeasuringError: nothing is measured at the operation.
        SignedOffError, NotMadeError: no pieces are there.
    """
    content = {"operation": operation_id}
    with transaction(session):
        lock_operations(session, [operation_id])
        kept = kept_before(session, AllChecked, act.key, content)
        if kept is not None:
            return kept
        operation = queries.measured_operation(session, operation_id)
        _check_open(operation)
        settled = queries.made_so_far(operation)
        said = AllChecked(
            operation_id=operation.id,
            pieces=settled.done + operation.in_work + operation.counted,
            station_id=act.station_id,
            person_id=act.person_id,
            happened_at=act.happened_at,
            recorded_at=act.recorded_at,
            client_key=act.key,
            content_hash=content_hash(AllChecked.__name__, content),
        )
        if said.pieces < 1:
            raise NotMadeError(operation_name(operation))
        session.add(said)
    return said


def waive_readings(session: orm.Session, act: Act, operation_id: int, reason: str, person: Person) -> Waiver:
    """Let the pieces at an operation be signed off though readings are missing or out; the reason stays on record.

    Raises:
        NoSuchMeasuringError: nothing is measured at the operation.
        MayNotWaiveError: the person is no inspector.
        WhyMissingError: no reason is given.
        NothingMissingError: nothing is missing or out.
    """
    content = {"operation": operation_id, "reason": reason}
    with transaction(session):
        lock_operations(session, [operation_id])
        kept = kept_before(session, Waiver, act.key, content)
        if kept is not None:
            return kept
        if not person.has_role(*MAY_WAIVE):
            raise MayNotWaiveError(person.name)
        if not reason.strip():
            raise WhyMissingError
        operation = queries.measured_operation(session, operation_id)
        missing = queries.missing_if_done(session, operation, act.happened_at)
        if not missing:
            raise NothingMissingError
        waiver = Waiver(
            operation_id=operation.id,
            pieces=queries.made_so_far(operation).done + operation.present,
            reason=reason.strip(),
            missing=" ".join(missing),
            station_id=act.station_id,
            person_id=act.person_id,
            happened_at=act.happened_at,
            recorded_at=act.recorded_at,
            client_key=act.key,
            content_hash=content_hash(Waiver.__name__, content),
        )
        session.add(waiver)
    return waiver
