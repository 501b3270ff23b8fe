"""What runs at a station and what comes next, in a fixed number of statements."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.floor.queries.frames import Frame, frame
from app.floor.queries.jobs import OpenWork, open_work
from app.floor.queries.measuring import MeasuredJob, measured_jobs
from app.floor.queries.queue import QueueRow, queue_of
from app.floor.queries.sheets import sheets_of
from app.floor.queries.weights import Load, load_of
from app.lots.models import LotSheet
from app.schedule.queries import Age, ServiceDue, age, services_due
from app.stations.queries import QuickGuess, quick_guesses


@dataclass(frozen=True, slots=True)
class Board:
    """What a station's page shows.

    Attributes:
        frame: the station and who is there.
        work: what is open, the lots of a batch together.
        queue: what to run next.
        sheets: drawings and set-up sheets of what is open, by operation of the lot.
        guesses: when it could be back, where it is down and was expected back by now; else empty.
        services: planned services that fall due soon or are overdue.
        readings: what is to be measured, by operation; only of those that are measured.
        age: of the forecast that the queue is in the order of; None without one.
    """

    frame: Frame
    work: list[OpenWork]
    queue: list[QueueRow]
    sheets: dict[int, list[LotSheet]]
    guesses: list[QuickGuess]
    services: list[ServiceDue]
    age: Age | None
    readings: dict[int, MeasuredJob]

    def load(self, work: OpenWork) -> Load | None:
        """Return what the pieces of a job or batch weigh; None where it is not known."""
        return load_of(self.frame.shop, ((each.lot.revision, each.job.pieces) for each in work.jobs))


def board(session: orm.Session, station_id: int, now: datetime) -> Board:
    """Read what a station's page shows.

    Raises:
        StationNotFoundError: there is no such station.
    """
    around = frame(session, station_id, now)
    work = open_work(session, station_id)
    return Board(
        frame=around,
        work=work,
        queue=queue_of(session, around.station),
        sheets=sheets_of(session, [each.operation for one in work for each in one.jobs]),
        guesses=_guesses(session, around, now),
        services=services_due(session, now, station_id),
        age=age(session, now),
        readings=measured_jobs(session, work, now),
    )


def _guesses(session: orm.Session, around: Frame, now: datetime) -> list[QuickGuess]:
    if around.downtime is None or not around.downtime.guess_passed(now):
        return []
    return quick_guesses(session, around.station, now)
