"""Keeping the open jobs up to date with the ledger."""

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from operator import itemgetter

from sqlalchemy import orm
from sqlalchemy.orm.attributes import set_committed_value

from app.lots.models import Entry, Job, LotOperation
from app.lots.queries.jobs import AT_THE_STATION, JobFacts, fold_job, job_lines
from app.shared.at_once import delete_now, insert_now


def refresh_jobs(session: orm.Session, entries: Iterable[Entry]) -> None:
    """Bring the open jobs that new entries speak of up to date with the ledger.

    Where no piece is at any station nothing is read: whatever order the entries came in, they leave no job open.
    """
    touched = {(operation.id, station_id): operation for operation, station_id in _touched(entries)}
    for (_, station_id), operation in sorted(touched.items(), key=itemgetter(0)):
        if operation.in_work + operation.counted:
            _refresh(session, operation, station_id)
        else:
            _end(session, operation, operation.jobs)


def _touched(entries: Iterable[Entry]) -> Iterator[tuple[LotOperation, int]]:
    for entry in entries:
        for place, operation in ((entry.from_place, entry.from_operation), (entry.to_place, entry.to_operation)):
            if operation is not None and entry.station_id is not None and place in AT_THE_STATION:
                yield operation, entry.station_id


def _refresh(session: orm.Session, operation: LotOperation, station_id: int) -> None:
    facts = fold_job(job_lines(session, operation.id, station_id))
    job = operation.job_at(station_id)
    if facts is None:
        _end(session, operation, [job] if job else [])
    elif job is None:
        job = Job(operation_id=operation.id, station_id=station_id, **asdict(facts))
        insert_now(session, job)
        set_committed_value(operation, "jobs", [*operation.jobs, job])
    else:
        for name in JobFacts.__slots__:
            setattr(job, name, getattr(facts, name))


def _end(session: orm.Session, operation: LotOperation, jobs: Iterable[Job]) -> None:
    ended = list(jobs)
    for job in ended:
        delete_now(session, job)
    set_committed_value(operation, "jobs", [job for job in operation.jobs if job not in ended])
