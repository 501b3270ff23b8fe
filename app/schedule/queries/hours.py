"""The shop's hours as the core takes them: the calendar of each station, when goods come in, when they must leave."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendar_hours import Downtime, OpenHours, Shift, wall_clock_second, zone_info
from app.core.calendars import NoOpenHoursError, WorkCalendar
from app.core.shop import Crew, OverClosed
from app.core.upkeep import Expected, expected_services
from app.core.work_hours import People, WorkHours
from app.core.worktime import Span, merged, without
from app.lots.models import Job
from app.schedule.queries.upkeep import Upkeep, read_upkeep
from app.stations import queries as station_queries
from app.stations.models import Crew as CrewRow
from app.stations.models import Shift as ShiftRow
from app.stations.models import Shop, Station

LOOK_BACK: Final = timedelta(days=92)
"""How far back overtime, downtime and closed days are read, to reckon what open jobs have done already."""
EXPECTED_AHEAD_S: Final = 120 * 86_400
"""So far ahead planned services are expected and take their time."""
PEOPLE_AHEAD_S: Final = 180 * 86_400
"""So far ahead a promise looks at when nobody is there; the planner's own answer always does."""
NOON: Final = time(12)
"""Blanks expected on a day count from its noon on: carriers come in the course of it (common practice, no source)."""


class ShopHours:
    """The calendars of one moment of the shop; stations with the same hours share one."""

    def __init__(
        self,
        shop: Shop,
        stations: Iterable[Station],
        closed: frozenset[date],
        now: datetime,
        upkeep: Upkeep | None = None,
        crews: Sequence[CrewRow] = (),
    ) -> None:
        self.now = second_of(now)
        self.stations = tuple(stations)
        self._shop = shop
        self._closed = closed
        self._zone = zone_info(shop.time_zone)
        self._calendars: dict[OpenHours, WorkCalendar] = {}
        weeks = {_shift(each) for station in self.stations for each in station.shifts}
        self._upkeep = upkeep or Upkeep()
        self._nobody: tuple[Downtime, ...] | None = None
        self.services: dict[int, list[Expected]] = {}
        """By planned service: when it is expected, the next one first."""
        for station in self.stations:
            self._expect_services(station)
        self.people = self._crews(crews) if crews else None
        """The people of each shift, and one for each overtime; None where people do not limit the work."""
        self._there = None if self.people is None else People(self.people)
        self.receiving = self._calendar(OpenHours(shop.time_zone, tuple(sorted(weeks, key=repr)), closed))

    @property
    def today(self) -> date:
        """Return the present day on the shop's wall clock."""
        return self.local_day(self.now)

    def local_day(self, second: int) -> date:
        """Return the day of a second on the shop's wall clock."""
        return datetime.fromtimestamp(second, self._zone).date()

    def calendar(self, station: Station) -> WorkCalendar:
        """Return when a station is open, not down and not being serviced."""
        hours = self._open_hours(station)
        if station.id not in self._upkeep.services:
            return self._calendar(hours)
        return self._calendar(replace(hours, downtimes=(*hours.downtimes, *self._service_times(station))))

    def work_hours(self, station: Station) -> WorkHours:
        """Return when somebody is at a station and when its work goes on, as plans have it, also in the past."""
        goes_on = station.over_closed is OverClosed.UNATTENDED
        return WorkHours(self.calendar(station), 60 * station.unattended_minutes if goes_on else 0, self._there)

    def attended(self, station: Station) -> WorkCalendar:
        """Return when a station is open and, where the shop names its people, somebody is there at all.

        Work that goes on alone there needs nobody, so such a station keeps its own hours.
        """
        if self.people is None or station.over_closed is OverClosed.UNATTENDED:
            return self.calendar(station)
        hours = self.calendar(station).hours
        return self._calendar(replace(hours, downtimes=(*hours.downtimes, *self._nobody_there())))

    def _nobody_there(self) -> tuple[Downtime, ...]:
        """Return the stretches of the next months in which no shift has people."""
        if self._nobody is None:
            ahead = Span(self.now, self.now + PEOPLE_AHEAD_S)
            there = merged(span for crew in self.people or () for span in crew.calendar.spans(ahead.start, ahead.end))
            gaps = without([ahead], there)
            self._nobody = tuple(Downtime(gap.start, gap.end, planned=True) for gap in gaps)
        return self._nobody

    def undisturbed(self, station: Station) -> WorkCalendar:
        """Return when a station would be open if it were never down."""
        return self._calendar(self._open_hours(station)).undisturbed

    def cutoff(self, day: date) -> int:
        """Return the second after which goods no longer leave on ``day``."""
        return wall_clock_second(day, self._shop.shipping_cutoff, self._zone)

    def arrival(self, day: date) -> int:
        """Return when goods that come on ``day`` can be used: at noon, or when somebody is next there to take them."""
        noon = wall_clock_second(day, NOON, self._zone)
        try:
            return self.receiving.next_open(noon)
        except NoOpenHoursError:
            return noon

    def working_day(self, day: date) -> date:
        """Return ``day``, or the first day after it that is Monday to Friday and not closed.

        Carriers deliver Monday to Friday, whatever the shifts (as ``material.queries.working_day_from``).
        """
        while day.weekday() >= 5 or day in self._closed:
            day += timedelta(days=1)
        return day

    def _crews(self, rows: Iterable[CrewRow]) -> tuple[Crew, ...]:
        crews = []
        for row in rows:
            shifts = tuple(Shift(day, row.starts, row.ends) for day in row.weekdays)
            hours = OpenHours(self._shop.time_zone, shifts, self._closed)
            crews.append(Crew(self._calendar(hours), row.setters, row.tenders, row.name))
        for station in self.stations:
            overtime = self._open_hours(station).overtime
            if overtime:
                alone = OpenHours(self._shop.time_zone, overtime=overtime)
                crews.append(Crew(self._calendar(alone), 1, 1))
        return tuple(crews)

    def _expect_services(self, station: Station) -> None:
        calendar = self._calendar(self._open_hours(station))
        for service in self._upkeep.services.get(station.id, ()):
            rule = self._upkeep.rule(service)
            use = self._upkeep.use(station.id, calendar, self.now)
            found = expected_services(rule, calendar, use, self.now, self.now + EXPECTED_AHEAD_S)
            self.services[service.id] = found

    def _service_times(self, station: Station) -> Iterator[Downtime]:
        for service in self._upkeep.services[station.id]:
            for each in self.services[service.id]:
                yield Downtime(each.span.start, each.span.end, each.guess, planned=True)

    def _open_hours(self, station: Station) -> OpenHours:
        now = datetime.fromtimestamp(self.now, UTC)
        overtimes = (Span(second_of(each.starts_at), second_of(each.ends_at)) for each in station.overtimes)
        downtimes = (
            (second_of(each.starts_at), second_of(each.expected_end(now)), each.end_is_guess)
            for each in station.downtimes
        )
        return station_queries.open_hours(
            self._shop,
            station,
            self._closed,
            [span for span in overtimes if span.start < span.end],
            tuple(Downtime(start, end, guess) for start, end, guess in downtimes if start < end),
        )

    def _calendar(self, hours: OpenHours) -> WorkCalendar:
        if hours not in self._calendars:
            self._calendars[hours] = WorkCalendar(hours)
        return self._calendars[hours]


def read_hours(session: orm.Session, now: datetime) -> ShopHours:
    """Read the shop, its stations and their hours; at most fourteen statements.

    A station that is no longer in use is read while a job is open there: it ends its job.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    since = now - LOOK_BACK
    shop = station_queries.shop(session)
    in_use = station_queries.all_stations(session, since)
    retired = session.scalars(
        sa.select(Station)
        .where(sa.not_(Station.active), sa.exists().where(Job.station_id == Station.id))
        .order_by(Station.id)
        .options(
            orm.selectinload(Station.shifts),
            orm.selectinload(Station.overtimes),
            orm.selectinload(Station.downtimes),
        )
    )
    closed = station_queries.closed_days(session, since.date())
    crews = station_queries.crews(session)
    return ShopHours(shop, (*in_use, *retired), closed, now, read_upkeep(session, now), crews)


def second_of(moment: datetime) -> int:
    """Return a moment in whole seconds since 1970, as the core counts."""
    return int(moment.timestamp())


def moment_of(second: int) -> datetime:
    """Return the moment of a second since 1970."""
    return datetime.fromtimestamp(second, UTC)


def _shift(row: ShiftRow) -> Shift:
    return Shift(row.weekday, row.starts, row.ends)
