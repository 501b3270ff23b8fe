"""What each station runs, in the order of the forecast."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.parts.models import Revision
from app.schedule.models import LotForecast, OperationRank, PlannedRun
from app.schedule.queries.whys import turn_words
from app.stations import queries as station_queries
from app.stations.models import Station

SHOWN_RUNS: Final = 12
"""So many runs of a station are shown where all stations are; its own page shows the rest."""


@dataclass(frozen=True, slots=True)
class Queued:
    """One run at a station: what it is of, what is forecast of its lot, and why it has this place."""

    run: PlannedRun
    forecast: LotForecast | None
    ranked: bool = False

    @property
    def operation(self) -> LotOperation:
        """Return the operation that runs."""
        return self.run.operation

    @property
    def lot(self) -> Lot:
        """Return its lot."""
        return self.run.operation.lot

    @property
    def here(self) -> int:
        """Return how many pieces wait at the operation now; 0: they are still on their way."""
        return self.run.operation.waiting

    @property
    def why(self) -> str:
        """Say what decides its place among those that wait."""
        return turn_words(self.lot, ranked=self.ranked)


@dataclass(frozen=True, slots=True)
class StationPlan:
    """What a station runs; ``more`` counts runs that are left out."""

    station: Station
    queue: list[Queued]
    more: int


def _runs() -> sa.Select[PlannedRun, LotForecast, bool]:
    """Select runs with their lots, parts, forecasts and whether a plan ranks them, each station's in order."""
    operation = orm.contains_eager(PlannedRun.operation)
    return (
        sa.select(PlannedRun, LotForecast, OperationRank.operation_id.is_not(None))
        .join(PlannedRun.operation)
        .join(LotOperation.lot)
        .outerjoin(LotForecast, LotForecast.lot_id == Lot.id)
        .outerjoin(OperationRank, OperationRank.operation_id == LotOperation.id)
        .where(Lot.closed_at.is_(None), ~LotOperation.skipped)
        .order_by(PlannedRun.start_at, PlannedRun.load, Lot.number)
        .options(
            operation.defer(LotOperation.instructions),
            operation.contains_eager(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part),
        )
    )


def station_queue(session: orm.Session, *station_ids: int, limit: int = SHOWN_RUNS) -> list[Queued]:
    """Return what one or more stations are to run next, by the forecast, without what is under way; one statement."""
    chosen = _runs().where(PlannedRun.station_id.in_(station_ids), sa.not_(PlannedRun.under_way)).limit(limit)
    return [Queued(*row) for row in session.execute(chosen)]


def today(session: orm.Session, station_ids: Collection[int], day: date) -> dict[int, list[Queued]]:
    """Return what each of some stations runs on a day of the shop's wall clock; two statements.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    begins, ends = _bounds(session, day)
    chosen = _runs().where(
        PlannedRun.station_id.in_(station_ids), PlannedRun.start_at < ends, PlannedRun.end_at > begins
    )
    by_station = _by_station(session.execute(chosen))
    return {station_id: by_station.get(station_id, []) for station_id in station_ids}


def _bounds(session: orm.Session, day: date) -> tuple[datetime, datetime]:
    zone = station_queries.shop_zone(session)
    return datetime.combine(day, time.min, zone), datetime.combine(day + timedelta(days=1), time.min, zone)


def station_plans(session: orm.Session, until: datetime) -> list[StationPlan]:
    """Return what every station in use runs from now to ``until``, in three statements."""
    stations = station_queries.stations_with_hours(session)
    by_station = _by_station(session.execute(_runs().where(PlannedRun.start_at < until)))
    plans = []
    for station in stations:
        queue = by_station.get(station.id, [])
        if station.active or queue:
            plans.append(StationPlan(station, queue[:SHOWN_RUNS], max(0, len(queue) - SHOWN_RUNS)))
    return plans


def station_plan(session: orm.Session, station_id: int) -> StationPlan:
    """Return all that one station runs; two statements.

    Raises:
        StationNotFoundError: no such station.
    """
    station = station_queries.get_station(session, station_id)
    rows = session.execute(_runs().where(PlannedRun.station_id == station_id))
    return StationPlan(station, [Queued(*row) for row in rows], 0)


def _by_station(rows: Iterable[sa.Row[PlannedRun, LotForecast, bool]]) -> dict[int, list[Queued]]:
    found: defaultdict[int, list[Queued]] = defaultdict(list)
    for run, forecast, ranked in rows:
        if run.station_id is not None:
            found[run.station_id].append(Queued(run, forecast, ranked))
    return found
