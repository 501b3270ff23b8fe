"""Counting how long each station ran: what is new in the ledger since the last time, a day of a station at a time."""

from collections.abc import Iterable
from datetime import UTC, date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendar_hours import Downtime, OpenHours
from app.core.worktime import Span
from app.lots.models import HoursCount, Posting, StationDay, StationHours
from app.lots.queries import hours as queries
from app.shared.database import lock_row, transaction
from app.stations.models import Shop, Station
from app.stations.queries import all_stations, closed_days, find_shop, open_hours


def count_hours(session: orm.Session, now: datetime) -> bool:
    """Bring the hours that stations ran up to date with the ledger; say whether there was anything to count.

    Only the days that new postings speak of are counted anew, and those since the last count where a job is running, so
    that the work does not grow with the history. The planner calls it before each forecast: no sign-off waits for it.
    """
    if not _anything_new(session, now):
        return False
    with transaction(session):
        shop = find_shop(session)
        mark = lock_row(session, HoursCount, queries.ONLY_ROW)
        if shop is None:
            return False
        since = _since(session, mark)
        last = session.scalar(sa.select(sa.func.max(Posting.id))) or 0
        if since:
            _count_stations(session, shop, since, now, anew=mark is None)
        if mark is None:
            mark = HoursCount(id=queries.ONLY_ROW)
            session.add(mark)
        mark.posting_id, mark.counted_at = last, now
    return True


def _anything_new(session: orm.Session, now: datetime) -> bool:
    mark = queries.hours_count(session)
    newest = session.scalar(sa.select(sa.func.max(Posting.id)))
    if newest is None:
        return False
    return (
        mark is None or newest > mark.posting_id or (now > mark.counted_at and bool(queries.working_stations(session)))
    )


def _since(session: orm.Session, mark: HoursCount | None) -> dict[int, datetime]:
    """Return from when on each station has to be counted anew: at the latest from the last count, as a job ran on."""
    found = queries.touched_since(session, mark.posting_id if mark else 0)
    if mark is None:
        return found
    working = queries.working_stations(session)
    return {each: min(found.get(each, mark.counted_at), mark.counted_at) for each in found.keys() | working}


def _count_stations(session: orm.Session, shop: Shop, since: dict[int, datetime], now: datetime, *, anew: bool) -> None:
    """Count some stations, each since its moment; ``anew``: for the first time, since ever."""
    earliest = min(since.values())
    closed = closed_days(session, earliest.date())
    for station in all_stations(session, earliest):
        if station.id in since:
            hours = _hours(shop, station, closed, now)
            first = hours.local(int(since[station.id].timestamp())).date()
            window = Span(hours.midnight(first), int(now.timestamp()) + 1)
            marked_since = None if anew else datetime.fromtimestamp(window.start, UTC)
            lines = queries.lines_of_station(session, station.id, marked_since)
            spans = queries.spans_of_station(lines, now)
            _keep(session, station.id, first, queries.days_run(spans, hours, window))


def _hours(shop: Shop, station: Station, closed: frozenset[date], now: datetime) -> OpenHours:
    overtimes = [_span(each.starts_at, each.ends_at) for each in station.overtimes]
    down = (_span(each.starts_at, each.expected_end(now)) for each in station.downtimes)
    downtimes = tuple(Downtime(span.start, span.end) for span in down if span.start < span.end)
    return open_hours(shop, station, closed, overtimes, downtimes)


def _span(start: datetime, end: datetime) -> Span:
    return Span(int(start.timestamp()), int(end.timestamp()))


def _keep(session: orm.Session, station_id: int, first: date, counted: dict[date, tuple[int, int]]) -> None:
    """Keep the days of a station from ``first`` on as they are counted now, and what that makes of its total."""
    kept = session.scalars(
        sa.select(StationDay).where(StationDay.station_id == station_id, StationDay.day >= first)
    ).all()
    more = sum(ran for _busy, ran in counted.values()) - sum(each.run_seconds for each in kept)
    _keep_days(session, station_id, kept, counted)
    total = session.get(StationHours, station_id)
    if total is None:
        total = StationHours(station_id=station_id, run_seconds=0)
        session.add(total)
    total.run_seconds += more


def _keep_days(
    session: orm.Session, station_id: int, kept: Iterable[StationDay], counted: dict[date, tuple[int, int]]
) -> None:
    by_day = {each.day: each for each in kept}
    for day in by_day.keys() - counted.keys():
        session.delete(by_day[day])
    for day, (busy, ran) in counted.items():
        row = by_day.get(day)
        if row is None:
            session.add(StationDay(station_id=station_id, day=day, busy_seconds=busy, run_seconds=ran))
        else:
            row.busy_seconds, row.run_seconds = busy, ran
