"""An invented shop with stations open on weekdays."""

from datetime import date, time
from itertools import accumulate

import factory

from app.core.scan_code import CodeKind, next_number
from app.stations.models import Closure, Downtime, Overtime, Shift, Shop, Station, WorkCenter
from tests.factories.base import ModelFactory

STATION_NUMBERS = list(accumulate(range(900), lambda number, _: next_number(CodeKind.STATION, number)))[1:]
"""Numbers that have a code; a long run of tests begins again, as no database holds so many stations."""


class ShopFactory(ModelFactory):
    class Meta:
        model = Shop

    id = 1
    name = "Harbor Lane Machine"
    time_zone = "America/Chicago"
    shipping_cutoff = time(15, 0)


class WorkCenterFactory(ModelFactory):
    class Meta:
        model = WorkCenter

    name = factory.Sequence(lambda n: f"Work center {n}")


class StationFactory(ModelFactory):
    class Meta:
        model = Station

    name = factory.Sequence(lambda n: f"Station {n:04}")  # a later one stands behind it by name too
    number = factory.Sequence(lambda n: STATION_NUMBERS[n % len(STATION_NUMBERS)])
    work_center = factory.SubFactory(WorkCenterFactory)
    shifts = factory.LazyFunction(lambda: [Shift(weekday=day, starts=time(6), ends=time(18)) for day in range(5)])


class ClosureFactory(ModelFactory):
    class Meta:
        model = Closure

    day = date(2026, 1, 1)
    name = "New Year's Day"


class OvertimeFactory(ModelFactory):
    class Meta:
        model = Overtime

    station = factory.SubFactory(StationFactory)


class DowntimeFactory(ModelFactory):
    class Meta:
        model = Downtime

    station = factory.SubFactory(StationFactory)
