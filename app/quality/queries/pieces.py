"""How many pieces of a lot are made at an operation by now, and in which shifts it ran there."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendars import WorkCalendar
from app.core.quality.frequencies import SHORTEST_SHIFT_S, Stint
from app.core.quality.piece_count import pieces_by_now
from app.core.shifts import shift_spans
from app.core.worktime import Span, clipped
from app.lots.models import Job, JobState, LotOperation, Verb
from app.lots.queries.jobs import JobLine, counted_by_station, job_lines
from app.stations.models import Station
from app.stations.queries import find_shop, hours_around

MS = 1000


@dataclass(frozen=True, slots=True)
class Made:
    """How far a lot is at an operation.

    Attributes:
        pieces: pieces there are to be made here, those that were made included.
        made: pieces made by now.
        done: those of them that were signed off, scrapped or sent back.
        estimated: ``made`` is a guess from the time since the last count.
    """

    pieces: int
    made: int
    done: int
    estimated: bool = False

    @property
    def finished(self) -> bool:
        """Say whether no more will be made."""
        return self.done >= self.pieces


def made_so_far(operation: LotOperation) -> Made:
    """Return how far a lot is by what was signed off alone; ``operation.lot`` and its operations must be loaded."""
    done = operation.done
    coming = sum(each.present for each in operation.lot.operations if each.number <= operation.number)
    return Made(pieces=done + coming, made=done, done=done)


def made_by_now(session: orm.Session, operation: LotOperation, now: datetime) -> Made:
    """Return how far a lot is by the last counts and the running time since."""
    settled = made_so_far(operation)
    jobs = session.scalars(
        sa.select(Job).where(Job.operation_id == operation.id).options(orm.joinedload(Job.station))
    ).all()
    counted = counted_by_station(session, [operation.id]) if operation.counted else {}
    made, estimated = settled.made, False
    for job in jobs:
        here = counted.get((operation.id, job.station_id), 0)
        guess = here
        if job.state is JobState.RUNNING and operation.cycle_ms:
            elapsed = _running_ms(session, job, now)
            guess = pieces_by_now(here, elapsed, operation.cycle_ms, job.pieces, operation.load_pieces).pieces
        made += guess
        estimated = estimated or guess > here
    return Made(settled.pieces, min(made, settled.pieces), settled.done, estimated)


def _running_ms(session: orm.Session, job: Job, now: datetime) -> int:
    """Return the running time since the last count of an open job: open time of the station, once there is a shop."""
    lines = job_lines(session, job.operation_id, job.station_id)
    counts = [line.happened_at for line in lines if line.verb in {Verb.COUNT, Verb.SIGN_OFF, Verb.SEND_AHEAD}]
    since = max([job.state_since, *counts])
    if now <= since:
        return 0
    if find_shop(session) is None:
        return int((now - since) / timedelta(milliseconds=1))
    calendar = WorkCalendar(hours_around(session, job.station, now))
    return calendar.work_between(int(since.timestamp()), int(now.timestamp())) * MS


def stints(
    session: orm.Session, operation: LotOperation, now: datetime, taken: Iterable[datetime], times: int
) -> list[Stint]:
    """Return the stretches of shifts in which an operation ran, with when readings were taken in the shift of each.

    A gap in which a reading, ``times`` a shift, would be due ends a stretch: nothing is due where nothing ran.
    """
    moments = sorted(int(at.timestamp()) for at in taken)
    return [
        Stint(
            shift.end - shift.start,
            run.start - shift.start,
            run.end - shift.start,
            tuple(at - shift.start for at in moments if shift.start <= at < shift.end),
        )
        for station in _stations_of(session, operation)
        for shift, run in _runs_at(session, station, job_lines(session, operation.id, station.id), now, times)
    ]


def _stations_of(session: orm.Session, operation: LotOperation) -> Sequence[Station]:
    if operation.work_center_id is None or find_shop(session) is None:
        return ()
    return session.scalars(
        sa.select(Station)
        .where(Station.work_center_id == operation.work_center_id)
        .order_by(Station.id)
        .options(orm.selectinload(Station.shifts))
    ).all()


def _runs_at(
    session: orm.Session, station: Station, lines: Sequence[JobLine], now: datetime, times: int
) -> Iterator[tuple[Span, Span]]:
    """Yield each shift of a station with a stretch of it in which the operation ran."""
    runs = run_spans(lines, int(now.timestamp()))
    if not runs:
        return
    hours = hours_around(session, station, datetime.fromtimestamp(runs[0].start, UTC))
    first: date = hours.local(runs[0].start).date() - timedelta(days=1)
    days = (hours.local(runs[-1].end).date() - first).days + 1
    for shift in shift_spans(hours, first, days):
        length = shift.end - shift.start
        if length >= SHORTEST_SHIFT_S:
            yield from ((shift, run) for run in joined(clipped(runs, shift), length // times))


def joined(runs: Iterable[Span], gap: int) -> list[Span]:
    """Return ascending spans with those made one between which less than ``gap`` seconds lie."""
    found: list[Span] = []
    for run in runs:
        if found and run.start - found[-1].end < gap:
            found[-1] = Span(found[-1].start, run.end)
        else:
            found.append(run)
    return found


def run_spans(lines: Sequence[JobLine], now: int) -> list[Span]:
    """Return when an operation ran at a station, ascending: from a begun run to its pause or its end; or ``now``."""
    spans: list[Span] = []
    begun: int | None = None
    pieces = 0
    for line in lines:
        at = int(line.happened_at.timestamp())
        pieces += line.change
        if line.verb is Verb.BEGIN_RUN and begun is None:
            begun = at
        elif begun is not None and (line.verb is Verb.PAUSE or pieces <= 0):
            spans.append(Span(begun, at))
            begun = None
    if begun is not None:
        spans.append(Span(begun, max(now, begun)))
    return [span for span in spans if span.start < span.end]
