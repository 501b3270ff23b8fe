"""The morning review: one snapshot of what needs somebody today, in a number of statements that never grows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import orm

from app.floor import queries as floor_queries
from app.floor.queries import Forgotten
from app.lots.queries import Short, coming_short
from app.purchasing import queries as purchasing_queries
from app.purchasing.queries import ToChase, ToOrder
from app.review.queries import floor
from app.review.queries.last_day import Day, Drifting, OpenNonconformance, last_day, last_work_and_measured
from app.safekeeping import queries as safekeeping_queries
from app.safekeeping.queries import Standing
from app.schedule import queries as schedule_queries
from app.schedule.models import LotForecast
from app.schedule.queries import Age, Queued, ServiceDue
from app.shared.words import local
from app.stations import queries as station_queries
from app.stations.models import Downtime, Station


@dataclass(frozen=True, slots=True)
class StationToday:
    """What one station runs today, in order."""

    station: Station
    runs: list[Queued]


@dataclass(frozen=True, slots=True)
class Review:
    """Everything the morning review tells."""

    today: date
    age: Age | None
    late: Sequence[LotForecast]
    tight: Sequence[LotForecast]
    stuck: Sequence[LotForecast]
    stopped: Sequence[LotForecast]
    short: list[Short]
    stations: list[StationToday]
    to_order: Sequence[ToOrder]
    to_chase: Sequence[ToChase]
    last_day: Day | None
    out: list[OpenNonconformance]
    drifting: list[Drifting]
    down: list[Downtime]
    services: list[ServiceDue]
    forgotten: list[Forgotten]
    recorded_late: list[floor.RecordedLate]
    kept: Standing


def morning(session: orm.Session, now: datetime) -> Review:
    """Read the review as it stands at ``now``.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    today = local(now).date()
    stations = station_queries.stations_today(session, now)
    work = last_work_and_measured(session, now)
    watched = schedule_queries.watched(session, now)
    return Review(
        today=today,
        age=schedule_queries.age(session, now),
        late=watched.late,
        tight=watched.tight,
        stuck=watched.stuck,
        stopped=watched.stopped,
        short=coming_short(session),
        stations=_stations(session, stations, today),
        to_order=purchasing_queries.material_to_order(session, today),
        to_chase=purchasing_queries.material_to_chase(session, today),
        last_day=last_day(session, work.at),
        out=work.out,
        drifting=work.drifting,
        services=schedule_queries.services_due(session, now),
        down=sorted((each for one in stations for each in one.downtimes), key=lambda each: (each.starts_at, each.id)),
        forgotten=floor_queries.forgotten(session, now, stations),
        recorded_late=floor.recorded_late(session, now),
        kept=safekeeping_queries.standing(session, now),
    )


def _stations(session: orm.Session, stations: Sequence[Station], today: date) -> list[StationToday]:
    runs = schedule_queries.today(session, [station.id for station in stations], today)
    return [StationToday(station, runs[station.id]) for station in stations]
