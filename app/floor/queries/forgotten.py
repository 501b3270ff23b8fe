"""Sign-offs that somebody forgot: jobs open for longer than believable, and pieces that are not where the books say.

The one place that says what is believable:

- A job that runs, or is set up, is forgotten when it took more than ``TIMES_PLANNED`` times its planned time in the
  open hours of its station; or when it should have been done before a closed night of it, ``NIGHT`` or longer, that it
  has been open through since; or when its station is not in use any more. Planned is the time for all pieces that came
  to the operation, and never shorter than ``SHORTEST``. A paused job waits: nobody forgot it.
- Pieces are elsewhere when they stand at an operation where nobody works, and others of the same lot were recorded late
  as having passed it in the last ``LATELY``; or when they wait there while a later operation is under way, unless they
  were sent back to it or are what a batch left over.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendars import NoOpenHoursError, WorkCalendar
from app.core.worktime import Span
from app.lots.models import Entry, Job, JobState, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.planned import planned_run_seconds
from app.parts.models import KindRole, OperationKind, Revision, Taking
from app.shared.words import duration, gettext, moment, ngettext
from app.stations import queries as station_queries
from app.stations.models import Station

TIMES_PLANNED: Final = 3
NIGHT: Final = timedelta(hours=4)
SHORTEST: Final = timedelta(minutes=10)
LATELY: Final = timedelta(days=3)
LOOK_BACK: Final = timedelta(days=31)
"""How far back closed days and overtime are read; what is open for longer is forgotten anyway."""


@dataclass(frozen=True, slots=True)
class Forgotten:
    """A sign-off that seems to be missing.

    Attributes:
        operation: where it is missing; its lot and part are loaded.
        job: what is open there, or None where pieces are elsewhere.
        pieces: how many it is about.
        about: when they were finished, as far as one can tell.
        why: what makes one think so, in a sentence.
    """

    operation: LotOperation
    job: Job | None
    pieces: int
    about: datetime
    why: str


def forgotten(session: orm.Session, now: datetime, stations: Sequence[Station] | None = None) -> list[Forgotten]:
    """Return the sign-offs that seem to be missing, lot by lot; two statements, one more without ``stations``.

    ``stations`` are those in use, with their shifts and overtimes, where the caller has read them.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    known = stations if stations is not None else station_queries.stations_today(session, now)
    rows = session.execute(_suspects(now)).all()
    if not rows:
        return []
    hours = _Hours(session, known, now)
    found = (
        _of_job(job, operation, hours, now) if job else _elsewhere(operation, late, now)
        for operation, job, late in rows
    )
    return [each for each in found if each is not None]


def _suspects(now: datetime) -> sa.Select[LotOperation, Job | None, datetime | None]:
    late = _recorded_late(now)
    works = sa.and_(Job.id.is_not(None), Job.state != JobState.PAUSED)
    left = sa.and_(Job.id.is_(None), sa.or_(late.is_not(None), _left_behind()))
    return (
        sa.select(LotOperation, Job, late)
        .join(LotOperation.lot)
        .join(Lot.revision)
        .join(Revision.part)
        .join(LotOperation.kind)
        .outerjoin(Job, Job.operation_id == LotOperation.id)
        .outerjoin(Job.station)
        .where(
            Lot.closed_at.is_(None),
            Lot.hold_reason == "",
            OperationKind.role != KindRole.BLANKS,
            LotOperation.waiting + LotOperation.in_work + LotOperation.counted > 0,
            sa.or_(works, left),
        )
        .order_by(Lot.number, LotOperation.number, Job.id)
        .options(
            orm.contains_eager(LotOperation.lot).contains_eager(Lot.revision).contains_eager(Revision.part),
            orm.contains_eager(Job.station),
        )
    )


def _recorded_late(now: datetime) -> sa.ScalarSelect[datetime]:
    """When pieces were last recorded late as having passed the operation."""
    undoing = orm.aliased(Posting)
    return (
        sa.select(sa.func.max(Posting.happened_at))
        .join(Entry, Entry.posting_id == Posting.id)
        .where(
            Entry.from_operation_id == LotOperation.id,
            Posting.verb == Verb.RECORD_LATE,
            Posting.recorded_at >= now - LATELY,
            ~sa.exists().where(undoing.reverses_id == Posting.id),
        )
        .correlate(LotOperation)
        .scalar_subquery()
    )


def _left_behind() -> sa.ColumnElement[bool]:
    """Pieces that wait while a later operation is under way, and that were not sent back."""
    later, job = orm.aliased(LotOperation), orm.aliased(Job)
    under_way = (
        sa.select(job.id)
        .join(later, job.operation_id == later.id)
        .where(later.lot_id == LotOperation.lot_id, later.number > LotOperation.number)
        .correlate(LotOperation)
        .exists()
    )
    sent_back = (
        sa.select(Entry.id)
        .where(
            Entry.to_operation_id == LotOperation.id,
            Entry.to_place == Place.WAITING,
            Entry.cause_operation_id.is_not(None),
        )
        .correlate(LotOperation)
        .exists()
    )
    return sa.and_(LotOperation.waiting > 0, LotOperation.taking != Taking.BATCH, under_way, ~sent_back)


class _Hours:
    """The undisturbed open hours of the stations in use."""

    def __init__(self, session: orm.Session, stations: Iterable[Station], now: datetime) -> None:
        self._shop = station_queries.shop(session)
        self._closed = station_queries.closed_days(session, (now - LOOK_BACK).date())
        self._stations = {each.id: each for each in stations if each.active}

    def calendar(self, station_id: int) -> WorkCalendar | None:
        """Return when a station is open; None where it is not in use."""
        station = self._stations.get(station_id)
        if station is None:
            return None
        spans = [Span(int(each.starts_at.timestamp()), int(each.ends_at.timestamp())) for each in station.overtimes]
        overtimes = [span for span in spans if span.start < span.end]
        return WorkCalendar(station_queries.open_hours(self._shop, station, self._closed, overtimes))


def _of_job(job: Job, operation: LotOperation, hours: _Hours, now: datetime) -> Forgotten | None:
    calendar = hours.calendar(job.station_id)
    if calendar is None:
        why = gettext("open at %(station)s, which is not in use any more", station=job.station.name)
        return Forgotten(operation, job, job.pieces, job.state_since, why)
    since, until = int(job.state_since.timestamp()), int(now.timestamp())
    planned = planned_seconds(operation)
    try:
        done = calendar.finish(since, planned)
    except NoOpenHoursError:
        return None
    worked = calendar.work_between(since, until)
    about = datetime.fromtimestamp(done, UTC)
    words = {"station": job.station.name, "since": moment(job.state_since), "planned": duration(planned)}
    if worked > TIMES_PLANNED * planned:
        words["worked"] = duration(worked)
        why = gettext("open at %(station)s since %(since)s: %(worked)s of open hours, planned %(planned)s", **words)
    elif any(_closed_stretches(calendar, done, until)):
        why = gettext("open at %(station)s since %(since)s, over a closed night; planned %(planned)s", **words)
    else:
        return None
    return Forgotten(operation, job, job.pieces, about, why)


def planned_seconds(operation: LotOperation) -> int:
    """Return what all pieces that came to an operation are planned to take, in open time."""
    pieces = operation.in_work + operation.counted + operation.done
    run = planned_run_seconds(operation, pieces, operation.lot.revision.piece_grams)
    return max(int(SHORTEST.total_seconds()), operation.setup_seconds + run)


def _closed_stretches(calendar: WorkCalendar, start: int, end: int) -> Iterator[bool]:
    """Say of each stretch between the open spans of ``[start, end)`` whether it is as long as a night."""
    before = start
    for span in (*calendar.spans(start, end), Span(end, end)):
        yield span.start - before >= NIGHT.total_seconds()
        before = span.end


def _elsewhere(operation: LotOperation, late: datetime | None, now: datetime) -> Forgotten:
    pieces = operation.waiting + operation.in_work + operation.counted
    if late is not None:
        why = ngettext(
            "others of this lot were recorded late from here; %(num)d piece still stands here in the books",
            "others of this lot were recorded late from here; %(num)d pieces still stand here in the books",
            pieces,
        )
    else:
        why = ngettext(
            "a later operation is under way; %(num)d piece still waits here in the books",
            "a later operation is under way; %(num)d pieces still wait here in the books",
            pieces,
        )
    return Forgotten(operation, None, pieces, late or now, why)


def forgotten_at(session: orm.Session, operation: LotOperation, station_id: int | None, now: datetime) -> Forgotten:
    """Return what seems to be missing at an operation, of the job at a station; all pieces there where nothing does."""
    for each in forgotten(session, now):
        if each.operation.id == operation.id and station_id in {None, each.job.station_id if each.job else None}:
            return each
    pieces = operation.waiting + operation.in_work + operation.counted
    return Forgotten(operation, None, pieces, now, "")


def furthest_passed(missing: Forgotten) -> LotOperation:
    """Return the last operation that the pieces seem to have passed.

    That is the one before the next that is under way, else before the furthest that others of the lot have reached.
    """
    operation = missing.operation
    if missing.job is not None:
        return operation
    following = [each for each in operation.lot.operations if each.number >= operation.number]
    under_way = [at for at, each in enumerate(following) if at and each.in_work + each.counted]
    reached = [at for at, each in enumerate(following) if at and each.present + each.done]
    return following[max(1, (under_way or reached[-1:] or [1])[0]) - 1]
