"""Open jobs, folded from the ledger's marks: one way to know them, for every use case and for ``verify``."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Job, JobState, LotOperation, Place, Posting, Verb

AT_THE_STATION = frozenset({Place.IN_WORK, Place.COUNTED})
STATE_AFTER = {
    Verb.BEGIN_SETUP: JobState.SETTING_UP,
    Verb.BEGIN_RUN: JobState.RUNNING,
    Verb.PAUSE: JobState.PAUSED,
}


@dataclass(slots=True)
class JobFacts:
    """What the ledger says of an operation that is open at a station."""

    state: JobState
    pieces: int
    begun_at: datetime
    state_since: datetime
    person_id: int | None
    batch_id: int | None
    first_piece_good: bool = False


@dataclass(frozen=True, slots=True)
class JobLine:
    """One entry as the fold reads it; ``change`` is how many more pieces are at the station after it.

    Only reads that compare planned and actual times fill ``is_estimate``: nobody knows when it happened.
    """

    verb: Verb
    happened_at: datetime
    person_id: int | None
    posting_id: int
    companions: int
    change: int
    is_estimate: bool = False


def change_at_station(
    operation_id: int, quantity: int, origin: tuple[Place, int | None], target: tuple[Place, int | None]
) -> int:
    """Return how many more pieces of an operation are at the station after an entry from ``origin`` to ``target``."""
    left = origin[1] == operation_id and origin[0] in AT_THE_STATION
    came = target[1] == operation_id and target[0] in AT_THE_STATION
    return quantity * (int(came) - int(left))


def fold_job(lines: Iterable[JobLine]) -> JobFacts | None:
    """Return the job that a station's entries on one operation leave open, or None when all pieces have left it."""
    job: JobFacts | None = None
    pieces = 0
    for line in lines:
        pieces += line.change
        if pieces <= 0:
            job = None
        elif job is None:
            job = _opened(line, pieces)
        else:
            _go_on(job, line, pieces)
    return job


def _opened(line: JobLine, pieces: int) -> JobFacts:
    return JobFacts(
        state=STATE_AFTER.get(line.verb, JobState.RUNNING),
        pieces=pieces,
        begun_at=line.happened_at,
        state_since=line.happened_at,
        person_id=line.person_id,
        batch_id=line.posting_id if line.companions > 1 else None,
    )


def _go_on(job: JobFacts, line: JobLine, pieces: int) -> None:
    job.pieces = pieces
    state = STATE_AFTER.get(line.verb)
    if state is not None and state is not job.state:
        job.state, job.state_since = state, line.happened_at
    if line.verb is Verb.FIRST_PIECE:
        job.first_piece_good = True
    if line.verb in {Verb.HAND_OVER, Verb.BEGIN_RUN}:
        job.person_id = line.person_id


def _job_lines() -> sa.Select[Verb, datetime, int | None, int, int, int, Place, int | None, Place, int | None]:
    companion = orm.aliased(Entry)
    companions = sa.select(sa.func.count(companion.id)).where(companion.posting_id == Posting.id).correlate(Posting)
    undoing = orm.aliased(Posting)
    operation_id = sa.bindparam("operation_id", type_=sa.Integer)
    return (
        sa.select(
            Posting.verb,
            Posting.happened_at,
            Posting.person_id,
            Posting.id,
            companions.scalar_subquery(),
            Entry.quantity,
            Entry.from_place,
            Entry.from_operation_id,
            Entry.to_place,
            Entry.to_operation_id,
        )
        .join(Entry.posting)
        .where(
            Entry.station_id == sa.bindparam("station_id", type_=sa.Integer),
            sa.or_(Entry.from_operation_id == operation_id, Entry.to_operation_id == operation_id),
            # Hidden from the index on it: nearly every posting reverses nothing, and SQLite would walk through all.
            sa.func.coalesce(Posting.reverses_id, 0) == 0,
            ~sa.exists().where(undoing.reverses_id == Posting.id),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Entry.id)
    )


JOB_LINES = _job_lines()
"""Made once: it runs at every sign-off."""


def job_lines(session: orm.Session, operation_id: int, station_id: int) -> list[JobLine]:
    """Read what a station did on an operation, in the ledger's order, without what was undone."""
    rows = session.execute(JOB_LINES, {"operation_id": operation_id, "station_id": station_id})
    return [
        JobLine(
            verb=row[0],
            happened_at=row[1],
            person_id=row[2],
            posting_id=row[3],
            companions=row[4],
            change=change_at_station(operation_id, row[5], (row[6], row[7]), (row[8], row[9])),
        )
        for row in rows
    ]


def job_at(session: orm.Session, operation_id: int, station_id: int | None) -> Job | None:
    """Return the open job of an operation at a station."""
    return next((job for job in jobs_of(session, [operation_id]) if job.station_id == station_id), None)


JOBS = sa.select(Job).where(Job.operation_id.in_(sa.bindparam("operation_ids", expanding=True))).order_by(Job.id)


def jobs_of(session: orm.Session, operation_ids: Iterable[int]) -> list[Job]:
    """Return the open jobs of some operations at all stations."""
    return list(session.scalars(JOBS, {"operation_ids": list(operation_ids)}))


def counted_by_station(session: orm.Session, operation_ids: Iterable[int]) -> dict[tuple[int, int], int]:
    """Return how many pieces are counted so far, by operation and station of the open job."""
    wanted = list(operation_ids)
    found: dict[tuple[int, int], int] = {}
    for operation_id, place, sign in (
        (Entry.to_operation_id, Entry.to_place, 1),
        (Entry.from_operation_id, Entry.from_place, -1),
    ):
        rows = session.execute(
            sa.select(operation_id, Entry.station_id, sa.func.sum(Entry.quantity))
            .where(operation_id.in_(wanted), place == Place.COUNTED, Entry.station_id.is_not(None))
            .group_by(operation_id, Entry.station_id)
        )
        for operation, station, pieces in rows:
            key = int(operation or 0), int(station or 0)
            found[key] = found.get(key, 0) + sign * int(pieces)
    return {key: pieces for key, pieces in found.items() if pieces}


@dataclass(slots=True)
class Source:
    """Pieces of an operation that can be taken: where they are, and in which station's job."""

    place: Place
    pieces: int
    station_id: int | None = None


def sources(session: orm.Session, operation: LotOperation, station_id: int | None) -> list[Source]:
    """Return where an operation's pieces can be taken from: this station's job first, then waiting, then other jobs."""
    jobs = operation.jobs
    own = [job for job in jobs if job.station_id == station_id]
    counted = counted_by_station(session, [operation.id]) if jobs and operation.counted else {}
    found = [Source(Place.WAITING, operation.waiting)]
    for job in (*own, *(each for each in jobs if each not in own)):
        here = counted.get((operation.id, job.station_id), 0)
        both = [Source(Place.COUNTED, here, job.station_id), Source(Place.IN_WORK, job.pieces - here, job.station_id)]
        found = [*both, *found] if job in own else [*found, *both]
    return found


def draw(found: Iterable[Source], pieces: int) -> Iterator[Source]:
    """Take ``pieces`` from the sources in their order, lowering what they still have."""
    for source in found:
        taken = min(source.pieces, pieces)
        if taken > 0:
            source.pieces -= taken
            pieces -= taken
            yield Source(source.place, taken, source.station_id)
