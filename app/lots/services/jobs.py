"""Keeping the open jobs up to date with the ledger."""

from collections.abc import Iterable, Iterator
from operator import itemgetter
from typing import TypeAlias

from sqlalchemy import orm
from sqlalchemy.orm.attributes import set_committed_value

from app.lots.models import Entry, Job, LotOperation, Posting
from app.lots.queries.jobs import (
    AT_THE_STATION,
    JobFacts,
    JobLine,
    PlacedLine,
    change_at_station,
    fold_job,
    placed_lines,
)

Touched: TypeAlias = tuple[LotOperation, int]
"""An operation and the station at which something of it changes."""


def jobs_before(session: orm.Session, entries: Iterable[Entry]) -> list[tuple[Touched, list[PlacedLine]]]:
    """Read what the ledger knows of the jobs that some new entries speak of, before they are added to the session.

    So the entries, the counts and the jobs are written in one flush. Where no piece is at any station afterwards,
    nothing is read: whatever order the entries came in, they leave no job open.
    """
    touched = {(operation.id, station_id): (operation, station_id) for operation, station_id in _touched(entries)}
    in_order = [touched[key] for key in sorted(touched)]
    if session.new:
        session.flush()  # another posting of the same use case
    with session.no_autoflush:  # the counts have changed already; nothing that is read here has
        return [
            (each, placed_lines(session, each[0].id, each[1]) if _at_stations(each[0]) else []) for each in in_order
        ]


def _at_stations(operation: LotOperation) -> int:
    return operation.in_work + operation.counted


def _touched(entries: Iterable[Entry]) -> Iterator[Touched]:
    for entry in entries:
        for place, operation in ((entry.from_place, entry.from_operation), (entry.to_place, entry.to_operation)):
            if operation is not None and entry.station_id is not None and place in AT_THE_STATION:
                yield operation, entry.station_id


def refresh_jobs(session: orm.Session, posting: Posting, before: Iterable[tuple[Touched, list[PlacedLine]]]) -> None:
    """Bring the open jobs that a new posting speaks of up to date with the ledger, as it was read ``before``."""
    for (operation, station_id), lines in before:
        if not _at_stations(operation):
            _end(session, operation, operation.jobs)
        else:
            _refresh(session, posting, operation, station_id, lines)


def _refresh(
    session: orm.Session, posting: Posting, operation: LotOperation, station_id: int, before: Iterable[PlacedLine]
) -> None:
    if len(posting.entries) > 1:
        session.flush()  # several jobs may begin together, and then each keeps the posting's key
    kept = (placed for placed in before if placed[1].posting_id != posting.reverses_id)
    lines = sorted([*kept, *_new_lines(posting, operation, station_id)], key=itemgetter(0))
    facts = fold_job(line for _, line in lines)
    job = operation.job_at(station_id)
    if facts is None:
        _end(session, operation, [job] if job else [])
        return
    if job is None:
        job = Job(operation_id=operation.id, station_id=station_id)
        session.add(job)
        set_committed_value(operation, "jobs", [*operation.jobs, job])
    for name in JobFacts.__slots__:
        setattr(job, name, getattr(facts, name))


def _new_lines(posting: Posting, operation: LotOperation, station_id: int) -> Iterator[PlacedLine]:
    if posting.reverses_id is not None:
        return
    for entry in posting.entries:
        places = (entry.from_place, entry.from_operation_id), (entry.to_place, entry.to_operation_id)
        if entry.station_id == station_id and operation.id in {places[0][1], places[1][1]}:
            line = JobLine(
                verb=posting.verb,
                happened_at=posting.happened_at,
                person_id=posting.person_id,
                posting_id=posting.id,
                companions=len(posting.entries),
                change=change_at_station(operation.id, entry.quantity, *places),
            )
            yield (posting.happened_at, posting.recorded_at), line


def _end(session: orm.Session, operation: LotOperation, jobs: Iterable[Job]) -> None:
    ended = list(jobs)
    for job in ended:
        session.delete(job)
    set_committed_value(operation, "jobs", [job for job in operation.jobs if job not in ended])
