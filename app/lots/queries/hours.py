"""How long stations ran, from the ledger's marks; and what was counted of it so far."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendar_hours import ONE_DAY, OpenHours
from app.core.calendars import WorkCalendar
from app.core.worktime import Span, clipped, merged
from app.lots.models import Entry, HoursCount, Job, JobState, Posting, StationDay, StationHours
from app.lots.queries.jobs import STATE_AFTER, JobLine, change_at_station

ONLY_ROW = 1
WORKING = frozenset({JobState.SETTING_UP, JobState.RUNNING})


def active_spans(lines: Iterable[JobLine], until: datetime) -> Iterator[Span]:
    """Yield the seconds in which the job of one operation at a station was set up or ran, up to ``until``."""
    pieces, state, since = 0, None, 0
    for line in lines:
        second = int(line.happened_at.timestamp())
        if state in WORKING:
            yield Span(since, second)
        pieces += line.change
        state = None if pieces <= 0 else STATE_AFTER.get(line.verb, state or JobState.RUNNING)
        since = second
    if state in WORKING:
        yield Span(since, int(until.timestamp()))


def days_run(spans: Iterable[Span], hours: OpenHours, window: Span) -> dict[date, tuple[int, int]]:
    """Return by local day the seconds of ``spans`` inside ``window``, and those of them in open hours."""
    calendar = WorkCalendar(hours)
    busy = merged(clipped(spans, window))
    found: dict[date, tuple[int, int]] = {}
    day = hours.local(window.start).date()
    while hours.midnight(day) < window.end:
        inside = clipped(busy, Span(hours.midnight(day), hours.midnight(day + ONE_DAY)))
        if inside:
            ran = sum(calendar.work_between(span.start, span.end) for span in inside)
            found[day] = sum(span.end - span.start for span in inside), ran
        day += ONE_DAY
    return found


def touched_since(session: orm.Session, posting_id: int) -> dict[int, datetime]:
    """Return the stations that postings after ``posting_id`` speak of, and since when; an undo since what it undid."""
    undone = orm.aliased(Posting)
    rows = session.execute(
        sa.select(Entry.station_id, sa.func.min(Posting.happened_at), sa.func.min(undone.happened_at))
        .join(Entry.posting)
        .outerjoin(undone, Posting.reverses_id == undone.id)
        .where(Posting.id > posting_id, Entry.station_id.is_not(None))
        .group_by(Entry.station_id)
    )
    return {station_id: min(first, before or first) for station_id, first, before in rows if station_id is not None}


def working_stations(session: orm.Session) -> set[int]:
    """Return the stations at which a job is set up or runs now."""
    return set(session.scalars(sa.select(Job.station_id).where(Job.state != JobState.PAUSED)))


def lines_of_station(session: orm.Session, station_id: int, since: datetime | None) -> dict[int, list[JobLine]]:
    """Read the marks of every operation that was worked on at a station since ``since`` (None: ever), by operation.

    All marks of such an operation are read, so that each can be folded from its begin; what was undone is left out. One
    statement, whatever the history.
    """
    undoing = orm.aliased(Posting)
    marks = (
        sa.select(
            Posting.verb,
            Posting.happened_at,
            Posting.person_id,
            Posting.id,
            Entry.quantity,
            Entry.from_place,
            Entry.from_operation_id,
            Entry.to_place,
            Entry.to_operation_id,
        )
        .join(Entry.posting)
        .where(
            Entry.station_id == station_id,
            sa.func.coalesce(Posting.reverses_id, 0) == 0,
            ~sa.exists().where(undoing.reverses_id == Posting.id),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Entry.id)
    )
    if since is not None:
        wanted = _operations(station_id, since)
        marks = marks.where(sa.or_(Entry.from_operation_id.in_(wanted), Entry.to_operation_id.in_(wanted)))
    found: defaultdict[int, list[JobLine]] = defaultdict(list)
    for row in session.execute(marks):
        origin, target = (row[5], row[6]), (row[7], row[8])
        for operation_id in {row[6], row[8]} - {None}:
            assert operation_id is not None  # noqa: S101 - for the type checker; None was taken out above
            change = change_at_station(operation_id, row[4], origin, target)
            found[operation_id].append(JobLine(row[0], row[1], row[2], row[3], 1, change))
    return found


def _operations(station_id: int, since: datetime) -> sa.CompoundSelect[int]:
    """Select the operations that were worked on at a station since a moment, and those that are open there."""
    lately = sa.and_(Entry.station_id == station_id, Posting.happened_at >= since)
    return sa.union(
        sa.select(Entry.from_operation_id).join(Entry.posting).where(lately, Entry.from_operation_id.is_not(None)),
        sa.select(Entry.to_operation_id).join(Entry.posting).where(lately, Entry.to_operation_id.is_not(None)),
        sa.select(Job.operation_id).where(Job.station_id == station_id),
    )


def spans_of_station(lines: Mapping[int, Iterable[JobLine]], until: datetime) -> list[Span]:
    """Return when any job was set up or ran at a station, in order; several at once count once."""
    return merged(span for each in lines.values() for span in active_spans(each, until))


def run_seconds(session: orm.Session) -> dict[int, int]:
    """Return how long each station ran in all, as last counted; one statement."""
    return {row.station_id: row.run_seconds for row in session.scalars(sa.select(StationHours))}


def ran_since(session: orm.Session, day: date, station_ids: Collection[int]) -> dict[int, int]:
    """Return how long each of some stations ran from ``day`` on, as last counted; one statement."""
    rows = session.execute(
        sa.select(StationDay.station_id, sa.func.sum(StationDay.run_seconds))
        .where(StationDay.day >= day, StationDay.station_id.in_(station_ids))
        .group_by(StationDay.station_id)
    )
    return {station_id: int(seconds) for station_id, seconds in rows}


def first_day_run(session: orm.Session) -> date | None:
    """Return the first day on which any station is known to have run."""
    return session.scalar(sa.select(sa.func.min(StationDay.day)))


def hours_count(session: orm.Session) -> HoursCount | None:
    """Return up to where the ledger is counted; None before the first time."""
    return session.get(HoursCount, ONLY_ROW)
