"""All stations in use and what each does now."""

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Job, JobState, Lot, LotOperation
from app.parts.models import Revision
from app.stations.models import Downtime, Station, WorkCenter
from app.stations.queries import downtimes_at


@dataclass(frozen=True, slots=True)
class Tile:
    """A station and what it does: down, running, setting up, paused or idle."""

    station: Station
    downtime: Downtime | None
    jobs: tuple[Job, ...]

    @property
    def leading(self) -> Job | None:
        """Return the job that says what the station does: a running one before one set up before a paused one."""
        order = [JobState.RUNNING, JobState.SETTING_UP, JobState.PAUSED]
        return min(self.jobs, key=lambda job: (order.index(job.state), job.begun_at), default=None)


def station_tiles(session: orm.Session, now: datetime) -> list[Tile]:
    """Return every station in use, by work center and name; three statements."""
    stations = session.scalars(
        sa.select(Station)
        .join(Station.work_center)
        .where(Station.active)
        .order_by(sa.func.lower(WorkCenter.name), sa.func.lower(Station.name), Station.id)
        .options(orm.contains_eager(Station.work_center))
    ).all()
    jobs = session.scalars(
        sa.select(Job)
        .order_by(Job.begun_at, Job.id)
        .options(
            orm.joinedload(Job.operation)
            .joinedload(LotOperation.lot)
            .joinedload(Lot.revision)
            .joinedload(Revision.part)
        )
    ).all()
    down = {each.station_id: each for each in downtimes_at(session, now)}
    return [Tile(each, down.get(each.id), tuple(job for job in jobs if job.station_id == each.id)) for each in stations]
