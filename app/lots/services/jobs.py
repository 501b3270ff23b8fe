"""Keeping the open jobs up to date with the ledger."""

from collections.abc import Iterable, Iterator

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Job, LotOperation
from app.lots.queries.jobs import AT_THE_STATION, JobFacts, fold_job, job_at, job_lines

# Fetched: only the database knows which job it was where a session holds one that a commit has expired.
ENDED = (
    sa.delete(Job)
    .where(Job.operation_id == sa.bindparam("operation_id"))
    .execution_options(synchronize_session="fetch")
)


def refresh_jobs(session: orm.Session, entries: Iterable[Entry]) -> None:
    """Bring the open jobs that some new entries speak of up to date with the ledger."""
    touched = {(operation.id, station_id): operation for operation, station_id in _touched(entries)}
    for (_, station_id), operation in sorted(touched.items(), key=lambda item: item[0]):
        if operation.in_work + operation.counted:
            session.flush()
            _refresh(session, operation.id, station_id)
        else:  # no piece of it is at any station: whatever order its entries came in, they leave no job open
            session.execute(ENDED, {"operation_id": operation.id})


def _touched(entries: Iterable[Entry]) -> Iterator[tuple[LotOperation, int]]:
    for entry in entries:
        for place, operation in ((entry.from_place, entry.from_operation), (entry.to_place, entry.to_operation)):
            if operation is not None and entry.station_id is not None and place in AT_THE_STATION:
                yield operation, entry.station_id


def _refresh(session: orm.Session, operation_id: int, station_id: int) -> None:
    facts = fold_job(job_lines(session, operation_id, station_id))
    job = job_at(session, operation_id, station_id)
    if facts is None:
        if job is not None:
            session.delete(job)
        return
    if job is None:
        job = Job(operation_id=operation_id, station_id=station_id)
        session.add(job)
    for name in JobFacts.__slots__:
        setattr(job, name, getattr(facts, name))
