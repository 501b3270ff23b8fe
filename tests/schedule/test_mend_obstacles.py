"""What cannot be planned says why where it can be mended, and the rest of the shop is planned all the same.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00 on weekdays.
"""

from datetime import date, time

import pytest

from app.core.shop import OverClosed
from app.lots.queries import lot_name
from app.schedule.models import Outlook
from app.stations.models import Crew
from tests.factories.lots import make_lot, station_of
from tests.factories.schedule import forecast_of, plan_now, routing_of, single


@pytest.fixture
def good(session):
    return make_lot(session, pieces=1, routing=routing_of(single(1)))


def stopped(client, session, lot):
    station = station_of(lot.operations[0])
    return client.get(f"/schedule/stations/{station.id}/stopped").text, client.get(f"/schedule/lots/{lot.id}").text


def test_work_longer_than_any_open_hours_where_it_must_fit(as_owner, session, good, now):
    routing = routing_of(single(60))
    routing.operations[0].work_center.stations[0].over_closed = OverClosed.FIT
    session.commit()
    lot = make_lot(session, pieces=13, routing=routing)  # thirteen hours; twelve are open
    plan_now(session, now)
    assert forecast_of(session, lot).outlook is Outlook.NO_OPEN_HOURS
    assert forecast_of(session, good).outlook is Outlook.EXPECTED
    at_station, at_lot = stopped(as_owner, session, lot)
    assert lot_name(lot) in at_station
    assert "it must end before its station closes" in at_station
    assert "Mend it at the stations and their hours" in at_lot


def test_a_shop_whose_shifts_have_nobody_who_sets_up(as_owner, session, good, now):
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=0, tenders=2))
    session.commit()
    lot = make_lot(session, pieces=1, routing=routing_of(single(1, setup=30)))
    plan_now(session, now)
    at_station, at_lot = stopped(as_owner, session, lot)
    assert "no shift has the people to set it up or to tend it" in at_station
    assert "Mend it at the people of each shift" in at_lot
    assert forecast_of(session, good).outlook is Outlook.EXPECTED


def test_a_station_that_does_not_open(as_owner, session, good, now):
    routing = routing_of(single(60))
    routing.operations[0].work_center.stations[0].shifts = []
    session.commit()
    lot = make_lot(session, pieces=1, routing=routing, due_on=date(2026, 1, 2))
    plan_now(session, now)
    at_station, at_lot = stopped(as_owner, session, lot)
    assert "its stations do not open again" in at_station
    assert "Past due" in at_lot


def test_blanks_that_nobody_ordered_are_mended_where_they_are_ordered(as_owner, session, good, now):
    lot = make_lot(session, pieces=5, routing=routing_of(single(1), blanks=0))
    plan_now(session, now)
    assert "Order what is missing" in as_owner.get(f"/schedule/lots/{lot.id}").text
    station = station_of(good.operations[0])
    assert "cannot be planned" not in as_owner.get(f"/schedule/stations/{station.id}/stopped").text
