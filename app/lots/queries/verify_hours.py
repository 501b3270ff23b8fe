"""Recomputing from the ledger how long each station ran."""

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendar_hours import OpenHours
from app.core.worktime import Span
from app.lots.models import StationDay, StationHours
from app.lots.queries.hours import days_run, hours_count, lines_of_station, spans_of_station, touched_since
from app.lots.queries.verify import Difference
from app.stations.models import Station
from app.stations.queries import find_shop


def hour_differences(session: orm.Session) -> Iterator[Difference]:
    """Compare each station's days with the ledger's marks, and its running total with its days.

    A station that has entries which are not counted yet has only its total compared. What of a day lay in open hours is
    kept as it was counted then; it can only be checked against the clock time of that day, which the ledger tells.
    """
    mark, shop = hours_count(session), find_shop(session)
    if mark is None or shop is None:
        return
    not_yet = touched_since(session, mark.posting_id)
    zone = OpenHours(shop.time_zone)
    for station in session.scalars(sa.select(Station).order_by(Station.id)).all():
        days = session.scalars(sa.select(StationDay).where(StationDay.station_id == station.id)).all()
        total = session.get(StationHours, station.id)
        summed = sum(each.run_seconds for each in days)
        if (total.run_seconds if total else 0) != summed:
            yield Difference(station.name, "seconds run", total and total.run_seconds, summed)
        if station.id in not_yet or not (days or total):
            continue
        spans = spans_of_station(lines_of_station(session, station.id, None), mark.counted_at)
        whole = Span(spans[0].start, int(mark.counted_at.timestamp()) + 1) if spans else Span(0, 0)
        ledger = {day: busy for day, (busy, _ran) in days_run(spans, zone, whole).items()} if spans else {}
        cached = {each.day: each.busy_seconds for each in days}
        for day in sorted(ledger.keys() | cached.keys()):
            if ledger.get(day, 0) != cached.get(day, 0):
                yield Difference(f"{station.name} {day}", "busy seconds", cached.get(day, 0), ledger.get(day, 0))
