"""Signing off: good pieces go on, scrap and rework go their own way; counting and sending ahead in between."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import (
    ComponentsMissingError,
    FirstPieceError,
    NothingHereError,
    NotOpenError,
    ReasonMissingError,
    TooManyPiecesError,
)
from app.lots.models import ComponentUse, Job, LotComponent, LotOperation, Place, Posting, Verb
from app.lots.queries.jobs import counted_by_station, draw, sources
from app.lots.queries.names import operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.begin import check_can_work
from app.lots.services.books import Move, Spot, at, lock_operations, next_spot, write
from app.lots.services.checks import refuse_unfit
from app.lots.services.missing import refuse_too_many
from app.parts.models import Part
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class Scrap:
    """Pieces found to be scrap; ``cause_id`` is the operation that caused it, by default where it was found."""

    pieces: int
    reason: str
    cause_id: int | None = None


@dataclass(frozen=True, slots=True)
class Rework:
    """Pieces that go back to an earlier operation and pass each one again."""

    pieces: int
    to_operation_id: int
    reason: str


@dataclass(frozen=True, slots=True)
class SignOff:
    """What came out of an operation. Pieces not named stay where they are, in work."""

    operation_id: int
    good: int
    scrap: tuple[Scrap, ...] = ()
    rework: tuple[Rework, ...] = ()

    @property
    def total(self) -> int:
        """Return how many pieces this speaks of."""
        return self.good + sum(each.pieces for each in self.scrap) + sum(each.pieces for each in self.rework)


def sign_off(session: orm.Session, act: Act, results: Sequence[SignOff], *, only_open: bool = False) -> Posting:
    """Record what came out of one operation, or of the lots of a batch that end together.

    Args:
        session: the database session.
        act: who, when, at which station.
        results: what came out.
        only_open: refuse work that is not open at ``act.station_id``.

    Raises:
        NotOpenError: it is not open there, though it must be.
        LotOnHoldError: a lot is on hold.
        EarlierNotSignedOffError: the pieces stand at an earlier operation in the books.
        BlanksNotIssuedError, BlanksNotReceivedError: the books do not know the blanks of some pieces.
        TooManyPiecesError: more pieces than the lot has.
        FirstPieceError: the routing asks for a good first piece, and none is recorded.
        ComponentsMissingError: components were not scanned for all pieces.
        ReasonMissingError: scrap or rework without a reason.
        NothingHereError: no piece is named.
        EntryRefusedError: a later area's check refuses it.
    """
    content = {"results": [asdict(each) for each in results], "station": act.station_id}
    with transaction(session):
        operations = lock_operations(session, [each.operation_id for each in results])
        answer = earlier_answer(session, act, Verb.SIGN_OFF, content)
        if answer is not None:
            return answer
        if only_open:
            _check_open(act, operations)
        moves = [
            move
            for operation, result in zip(operations, results, strict=True)
            for move in _result_moves(session, act, operation, result)
        ]
        return _passed(session, write(session, act, Verb.SIGN_OFF, content, moves))


def _passed(session: orm.Session, posting: Posting) -> Posting:
    """Let later areas refuse pieces that leave an operation as done."""
    refuse_unfit(session, posting.entries)
    return posting


def _check_open(act: Act, operations: Sequence[LotOperation]) -> None:
    for operation in operations:
        if operation.job_at(act.station_id) is None:
            raise NotOpenError(operation_name(operation))


def _result_moves(session: orm.Session, act: Act, operation: LotOperation, result: SignOff) -> Iterator[Move]:
    found = sources(session, operation, act.station_id)
    _check_result(session, operation, result, operation.job_at(act.station_id))
    there = sum(each.pieces for each in found)
    if result.total > there:
        refuse_too_many(session, operation, result.total, there)
    for pieces, target, cause, reason in _targets(operation, result):
        for taken in draw(found, pieces):
            yield Move(
                operation.lot,
                taken.pieces,
                at(operation, taken.place),
                target,
                cause=cause,
                station_id=taken.station_id,
                reason=reason,
            )


def _check_result(session: orm.Session, operation: LotOperation, result: SignOff, job: Job | None) -> None:
    check_can_work(operation)
    aside: tuple[Scrap | Rework, ...] = (*result.scrap, *result.rework)
    if result.good < 0 or any(each.pieces < 1 for each in aside) or result.total == 0:
        raise NothingHereError(operation_name(operation))
    if not all(each.reason.strip() for each in aside):
        raise ReasonMissingError
    if operation.first_piece and result.good and not (job and job.first_piece_good) and not operation.passed:
        raise FirstPieceError(operation_name(operation), operation.id)
    check_components(session, operation, result.good + operation.done)


def _targets(operation: LotOperation, result: SignOff) -> Iterator[tuple[int, Spot, LotOperation | None, str]]:
    by_id = {each.id: each for each in operation.lot.operations}
    yield result.good, next_spot(operation), None, ""
    for scrap in result.scrap:
        cause = by_id.get(scrap.cause_id or operation.id, operation)
        yield scrap.pieces, at(operation, Place.SCRAPPED), cause, scrap.reason.strip()
    for rework in result.rework:
        earlier = by_id.get(rework.to_operation_id)
        if earlier is None or earlier.skipped or earlier.number > operation.number:
            raise NothingHereError(operation_name(operation))
        yield rework.pieces, at(earlier, Place.WAITING), operation, rework.reason.strip()


def _components() -> sa.Select[str, int, int | None]:
    used = (
        sa.select(sa.func.sum(ComponentUse.pieces))
        .where(ComponentUse.operation_id == LotComponent.operation_id, ComponentUse.part_id == LotComponent.part_id)
        .correlate(LotComponent)
    )
    return (
        sa.select(Part.number, LotComponent.per_piece, used.scalar_subquery())
        .join(LotComponent.part)
        .where(LotComponent.operation_id == sa.bindparam("operation_id"))
        .order_by(LotComponent.id)
    )


COMPONENTS = _components()
"""What an operation takes of each part a piece, and how many were scanned. Made once: it runs at every sign-off."""


def check_components(session: orm.Session, operation: LotOperation, pieces: int) -> None:
    """Refuse to pass pieces for which components were not scanned.

    Raises:
        ComponentsMissingError: naming the first part of which there are too few.
    """
    if not operation.components:
        return
    for part, per_piece, used in session.execute(COMPONENTS, {"operation_id": operation.id}):
        missing = pieces * per_piece - (used or 0)
        if missing > 0:
            raise ComponentsMissingError(part, missing)


def count_so_far(session: orm.Session, act: Act, operation_id: int, pieces: int) -> Posting:
    """Record how many pieces of an open job are done so far; they stay at the station until sign-off.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
        TooManyPiecesError: more than the job has.
    """
    content = {"operation": operation_id, "pieces": pieces, "station": act.station_id}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, Verb.COUNT, content)
        if answer is not None:
            return answer
        check_can_work(operation)
        job = _open_job(act, operation)
        if not 0 <= pieces <= job.pieces:
            raise TooManyPiecesError(pieces, job.pieces, operation_name(operation))
        more = pieces - counted_by_station(session, [operation.id]).get((operation.id, job.station_id), 0)
        ends = at(operation, Place.IN_WORK), at(operation, Place.COUNTED)
        origin, target = ends if more >= 0 else reversed(ends)
        move = Move(operation.lot, abs(more), origin, target, station_id=act.station_id)
        return write(session, act, Verb.COUNT, content, [move])


def send_ahead(session: orm.Session, act: Act, operation_id: int, pieces: int) -> Posting:
    """Send good pieces of an open job on before the rest is done.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
        TooManyPiecesError: more than the job has.
        FirstPieceError, ComponentsMissingError, EntryRefusedError: as for ``sign_off``.
    """
    content = {"operation": operation_id, "pieces": pieces, "station": act.station_id}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, Verb.SEND_AHEAD, content)
        if answer is not None:
            return answer
        job = _open_job(act, operation)
        if pieces > job.pieces:
            raise TooManyPiecesError(pieces, job.pieces, operation_name(operation))
        moves = list(_result_moves(session, act, operation, SignOff(operation_id, pieces)))
        return _passed(session, write(session, act, Verb.SEND_AHEAD, content, moves))


def _open_job(act: Act, operation: LotOperation) -> Job:
    job = operation.job_at(act.station_id)
    if job is None:
        raise NotOpenError(operation_name(operation))
    return job
