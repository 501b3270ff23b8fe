"""Keeping the open jobs up to date with the ledger."""

from collections.abc import Iterable

from sqlalchemy import orm

from app.lots.models import Entry, Job
from app.lots.queries.jobs import AT_THE_STATION, JobFacts, fold_job, job_at, job_lines


def refresh_jobs(session: orm.Session, entries: Iterable[Entry]) -> None:
    """Bring the open jobs that some new entries speak of up to date with the ledger."""
    session.flush()
    touched = {
        (operation_id, entry.station_id)
        for entry in entries
        for place, operation_id in (
            (entry.from_place, entry.from_operation_id),
            (entry.to_place, entry.to_operation_id),
        )
        if operation_id is not None and entry.station_id is not None and place in AT_THE_STATION
    }
    for operation_id, station_id in sorted(touched):
        _refresh(session, operation_id, station_id)
    session.flush()


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
