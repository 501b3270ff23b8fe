"""Taking unfinished pieces off a machine, so that another station can go on with them."""

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import AllCountedError, NotOpenError
from app.lots.models import Job, Place, Posting, Verb
from app.lots.queries.jobs import counted_by_station
from app.lots.queries.names import operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import Move, at, lock_operations, write
from app.shared.database import transaction


def take_off(session: orm.Session, act: Act, operation_id: int) -> Posting:
    """End an open job before its pieces are finished: they wait at the operation again; of a load, those of all lots.

    Pieces that are counted are finished, and stay to be signed off.

    Raises:
        NotOpenError: it is not open at ``act.station_id``.
        AllCountedError: all its pieces are counted.
    """
    content = {"operation": operation_id, "station": act.station_id, "off": True}
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        answer = earlier_answer(session, act, Verb.PAUSE, content)
        if answer is not None:
            return answer
        job = operation.job_at(act.station_id)
        if job is None:
            raise NotOpenError(operation_name(operation))
        moves = list(_unfinished(session, _same_load(session, job)))
        if not moves:
            raise AllCountedError(operation_name(operation))
        return write(session, act, Verb.PAUSE, content, moves)


def _same_load(session: orm.Session, job: Job) -> list[Job]:
    if job.batch_id is None:
        return [job]
    return list(session.scalars(sa.select(Job).where(Job.batch_id == job.batch_id).order_by(Job.id)))


def _unfinished(session: orm.Session, jobs: list[Job]) -> Iterator[Move]:
    operations = lock_operations(session, [job.operation_id for job in jobs])
    counted = counted_by_station(session, [job.operation_id for job in jobs])
    for job, operation in zip(jobs, operations, strict=True):
        left = job.pieces - counted.get((job.operation_id, job.station_id), 0)
        if left > 0:
            ends = at(operation, Place.IN_WORK), at(operation, Place.WAITING)
            yield Move(operation.lot, left, *ends, station_id=job.station_id)
