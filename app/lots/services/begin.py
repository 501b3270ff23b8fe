"""Beginning work: set-up, run, a load that several lots share; and the marks made while it goes on."""

from collections.abc import Sequence
from dataclasses import replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import (
    AlreadyOpenError,
    LoadError,
    LotOnHoldError,
    NotOpenError,
    SentElsewhereError,
    SkippedError,
    StationDownError,
    StationFullError,
    TooManyPiecesError,
    WrongStationError,
)
from app.lots.models import Job, JobState, LotOperation, Place, Posting, Verb
from app.lots.queries.loads import SHARED, full_share, grams_of, proposed_shares, weight_bound
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, at, lock_operations, mark, write
from app.lots.services.missing import check_waiting
from app.lots.services.sending import put
from app.parts.models import Taking
from app.shared.database import lock_row, transaction
from app.shared.words import gettext
from app.stations.models import Station
from app.stations.queries import down_now


def begin(
    session: orm.Session,
    act: Act,
    operation_ids: Sequence[int],
    *,
    pieces: Sequence[int] = (),
    setup: bool = False,
    anyway: bool = False,
) -> Posting:
    """Begin set-up or run of an operation, or of several lots' operations as one load, at ``act.station_id``.

    All waiting pieces of one operation are taken, an even part of one that is split over stations, of a batch and of a
    shared load as many as it holds.

    Args:
        session: the database session.
        act: who, when, at which station.
        operation_ids: one operation, or those of the lots that share a pallet or a batch.
        pieces: how many of each go into the load; none: as many as fit.
        setup: begin with setting up instead of running.
        anyway: run it at a station of another work center than planned.

    Raises:
        LedgerError: it cannot begin (on hold, nothing there, station full, down or of another work center, ...).
    """
    verb = Verb.BEGIN_SETUP if setup else Verb.BEGIN_RUN
    content = {"operations": list(operation_ids), "station": act.station_id}
    if pieces:
        content["pieces"] = list(pieces)
    with transaction(session):
        operations = lock_operations(session, operation_ids)
        answer = earlier_answer(session, act, verb, content)
        if answer is not None:
            return answer
        station = _station(session, act)
        _check_station(session, act, station, operations, anyway=anyway)
        for operation in operations:
            check_can_work(operation)
            check_waiting(session, operation)
        quantities = _quantities(operations, pieces)
        let_go_elsewhere(session, act, station, operations)
        moves = [
            Move(
                operation.lot,
                taken,
                at(operation, Place.WAITING),
                at(operation, Place.IN_WORK),
                station_id=act.station_id,
            )
            for operation, taken in zip(operations, quantities, strict=True)
        ]
        return write(session, act, verb, content, moves)


def _station(session: orm.Session, act: Act) -> Station:
    station = lock_row(session, Station, act.station_id) if act.station_id is not None else None
    if station is None:
        raise NotOpenError(gettext("The operation"))
    return station


def check_can_work(operation: LotOperation) -> None:
    """Refuse work on a lot that is on hold, and on an operation that the lot passes over.

    Raises:
        LotOnHoldError, SkippedError: it is.
    """
    if operation.skipped:
        raise SkippedError(operation_name(operation))
    if operation.lot.on_hold:
        raise LotOnHoldError(lot_name(operation.lot), operation.lot.hold_reason)


def _check_station(
    session: orm.Session, act: Act, station: Station, operations: Sequence[LotOperation], *, anyway: bool
) -> None:
    for operation in operations:
        if operation.work_center_id != station.work_center_id and not anyway:
            planned = operation.work_center.name if operation.work_center else operation.kind.name
            raise WrongStationError(operation_name(operation), planned, station.name)
        if _sent_elsewhere(operation, station) and not anyway:
            sent_to = operation.sent_to.name if operation.sent_to else ""
            raise SentElsewhereError(operation_name(operation), sent_to, station.name)
        if operation.job_at(station.id):
            raise AlreadyOpenError(operation_name(operation))
    _check_free(session, act, station)


def _sent_elsewhere(operation: LotOperation, station: Station) -> bool:
    return operation.sent_to_station_id not in {None, station.id}


def let_go_elsewhere(session: orm.Session, act: Act, station: Station, operations: Sequence[LotOperation]) -> None:
    """Let go what was sent to another station and is begun here all the same."""
    for operation in operations:
        if _sent_elsewhere(operation, station):
            key = f"{act.key}/let go {operation.id}"
            put(session, replace(act, key=key), operation, None, gettext("begun at %(station)s", station=station.name))


GOING_ON = sa.select(Job).where(Job.station_id == sa.bindparam("station_id"), Job.state != JobState.PAUSED)


def _check_free(session: orm.Session, act: Act, station: Station) -> None:
    if down_now(session, station, act.happened_at):
        raise StationDownError(station.name)
    busy = session.scalars(GOING_ON, {"station_id": station.id}).all()
    if len({job.batch_id or -job.id for job in busy}) >= station.pallets:
        raise StationFullError(station.name, ", ".join(operation_name(job.operation) for job in busy))


def _quantities(operations: Sequence[LotOperation], asked: Sequence[int]) -> list[int]:
    """Return how many pieces of each operation are taken: those asked for, or all that one load of theirs holds."""
    if len(operations) > 1:
        _check_share(operations)
    elif operations[0].taking is not Taking.BATCH and not asked:
        return [_part_of(operations[0])]
    taken = list(asked) or proposed_shares(operations)
    _check_taken(operations, taken)
    return taken


def _part_of(operation: LotOperation) -> int:
    """Return how many waiting pieces one station takes: all, or an even part of what it is split over."""
    if operation.split_over == 1:
        return operation.waiting
    earlier = (each for each in operation.lot.operations if each.number <= operation.number)
    return min(operation.waiting, -(-sum(each.present for each in earlier) // operation.split_over))


def _check_share(operations: Sequence[LotOperation]) -> None:
    if len({operation.id for operation in operations}) < len(operations):
        raise LoadError(gettext("The same lot was scanned twice for this load."))
    takings = {each.taking for each in operations}
    if len(takings) > 1 or not takings <= SHARED:
        raise LoadError(gettext("Only pallet loads, or only batches, can be begun together."))
    alike = {(each.work_center_id, each.recipe, each.cycle_ms) for each in operations}
    if takings == {Taking.BATCH} and len(alike) > 1:
        names = ", ".join(operation_name(each) for each in operations)
        raise LoadError(
            gettext("These lots need different recipes or times and cannot share a batch: %(names)s.", names=names)
        )


def _check_taken(operations: Sequence[LotOperation], taken: Sequence[int]) -> None:
    if len(taken) != len(operations):
        raise LoadError(gettext("Say for each lot how many of its pieces go into the load."))
    for operation, pieces in zip(operations, taken, strict=True):
        if pieces < 1:
            name = lot_name(operation.lot)
            raise LoadError(gettext("No piece of lot %(lot)s has room in this load. Leave it out.", lot=name))
        if pieces > operation.waiting:
            raise TooManyPiecesError(pieces, operation.waiting, operation_name(operation))
    if full_share(operations, taken) > 1:
        raise LoadError(_too_much(operations, taken))


def _too_much(operations: Sequence[LotOperation], taken: Sequence[int]) -> str:
    pieces = sum(taken)
    if operations[0].taking is Taking.LOAD:
        return gettext("Together %(pieces)s pieces: more than the places of one load. Take fewer.", pieces=pieces)
    most = min(operation.load_pieces for operation in operations)
    if pieces > most:
        return gettext("Together %(pieces)s pieces; a batch holds %(most)s.", pieces=pieces, most=most)
    grams, bound = grams_of(operations, taken), weight_bound(operations)
    return gettext("Together %(kg).1f kg; a batch holds %(most).1f kg.", kg=grams / 1000, most=bound / 1000)


def _mark(session: orm.Session, act: Act, verb: Verb, operation_id: int) -> Posting:
    content = {"operation": operation_id, "station": act.station_id}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, verb, content)
        if answer is not None:
            return answer
        if verb is not Verb.PAUSE:  # a job whose lot was put on hold must still leave the machine
            check_can_work(operation)
        job = operation.job_at(act.station_id)
        if job is None:
            raise NotOpenError(operation_name(operation))
        if verb is Verb.BEGIN_RUN and job.state is JobState.PAUSED:
            _check_free(session, act, job.station)
        marks = [mark(each, act.station_id) for each in _together(session, job, verb)]
        return write(session, act, verb, content, marks)


def _together(session: orm.Session, job: Job, verb: Verb) -> list[LotOperation]:
    """Return the operations a mark is about: a batch runs, pauses and is handed over as one."""
    if job.batch_id is None or verb is Verb.FIRST_PIECE:
        return [job.operation]
    same = session.scalars(sa.select(Job).where(Job.batch_id == job.batch_id).order_by(Job.id))
    return [each.operation for each in same]


def run(session: orm.Session, act: Act, operation_id: int) -> Posting:
    """Run an open job: after set-up, or again after a pause.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
        LotOnHoldError: the lot is on hold.
        StationFullError, StationDownError: it was paused, and its pallet is taken or the station down.
    """
    return _mark(session, act, Verb.BEGIN_RUN, operation_id)


def pause(session: orm.Session, act: Act, operation_id: int) -> Posting:
    """Pause an open job, also of a lot on hold; its pallet is free for another.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
    """
    return _mark(session, act, Verb.PAUSE, operation_id)


def hand_over(session: orm.Session, act: Act, operation_id: int) -> Posting:
    """Let ``act.person_id`` take over an open job.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
        LotOnHoldError: the lot is on hold.
    """
    return _mark(session, act, Verb.HAND_OVER, operation_id)


def first_piece_good(session: orm.Session, act: Act, operation_id: int) -> Posting:
    """Record that the first piece of an open job was found good. Raises as ``hand_over`` does."""
    return _mark(session, act, Verb.FIRST_PIECE, operation_id)
