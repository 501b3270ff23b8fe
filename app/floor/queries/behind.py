"""The lots behind a station: what it is to run, where else that could run, and what was sent away."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.floor.queries.frames import Frame, frame
from app.floor.queries.jobs import OpenWork, open_work
from app.floor.queries.queue import QueueRow, queue_of_center
from app.lots.models import LotOperation, Sending
from app.lots.queries.sendings import last_sendings, sent_within
from app.stations.models import Downtime, Station
from app.stations.queries import downtimes_at, stations_in

MOST = 24


@dataclass(frozen=True, slots=True)
class OtherStation:
    """Another station of the work center, and why it is down where it is."""

    station: Station
    downtime: Downtime | None


@dataclass(frozen=True, slots=True)
class SentAway:
    """An operation that was sent to another station of the work center."""

    operation: LotOperation
    sending: Sending


@dataclass(frozen=True, slots=True)
class Behind:
    """What is on a station and waits behind it: what it or others of its center are to run; not what they were sent."""

    frame: Frame
    work: list[OpenWork]
    rows: list[QueueRow]
    others: list[OtherStation]
    away: list[SentAway]

    def planned_elsewhere(self, row: QueueRow) -> str:
        """Return the name of the other station at which the forecast plans a row now; empty for this one."""
        return next((each.station.name for each in self.others if each.station.id == row.planned_at), "")


def behind(session: orm.Session, station_id: int, now: datetime) -> Behind:
    """Read what waits behind a station and where it could go, in a fixed number of statements.

    Raises:
        StationNotFoundError: there is no such station.
    """
    around = frame(session, station_id, now)
    center_id = around.station.work_center_id
    down = {each.station_id: each for each in downtimes_at(session, now)}
    others = [each for each in stations_in(session, center_id) if each.id != station_id]
    away = [each for each in sent_within(session, center_id) if each.sent_to_station_id != station_id]
    words = last_sendings(session, [each.id for each in away])
    return Behind(
        frame=around,
        work=open_work(session, station_id),
        rows=queue_of_center(session, around.station, [station_id, *(each.id for each in others)], MOST),
        others=[OtherStation(each, down.get(each.id)) for each in others],
        away=[SentAway(each, words[each.id]) for each in away if each.id in words],
    )
