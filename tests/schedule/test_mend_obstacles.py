"""What cannot be planned says why where it can be mended, and the rest of the shop is planned all the same.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00 on weekdays.
"""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from app.core.shop import OverClosed
from app.lots.queries import lot_name
from app.parts.models import Taking
from app.schedule.models import Outlook
from app.stations.models import Crew
from tests.factories.lots import make_lot, station_of
from tests.factories.parts import ComponentFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, single
from tests.factories.stations import DowntimeFactory, OvertimeFactory


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
    for day in (date(2025, 12, 20), date(2026, 1, 5)):  # who worked overtime then is there no more
        begun = datetime.combine(day, time(8), UTC)
        OvertimeFactory(station=station_of(good.operations[0]), starts_at=begun, ends_at=begun + timedelta(hours=4))
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=0, tenders=2))
    session.commit()
    lot = make_lot(session, pieces=1, routing=routing_of(single(1, setup=30)))
    plan_now(session, now)
    at_station, at_lot = stopped(as_owner, session, lot)
    assert "no shift has the people to set it up or to tend it" in at_station
    assert "Mend it at the people of each shift" in at_lot
    at_people = as_owner.get("/schedule/stopped?place=people").text
    assert lot_name(lot) in at_people
    assert "1 lot cannot be planned until a shift has the people for it" in at_people
    assert "no shift has the people to set it up or to tend it" in at_people
    assert lot_name(lot) not in as_owner.get("/schedule/stopped").text
    assert 'hx-get="/schedule/stopped?place=people"' in as_owner.get("/shop/crews").text
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


def test_a_component_made_here_of_which_no_lot_is_released_leads_to_its_part(as_owner, session, good, now):
    made = routing_of(single(1)).revision.part
    routing = routing_of(single(1))
    ComponentFactory(revision_id=routing.revision_id, part=made, operation_number=10)
    lot = make_lot(session, pieces=1, routing=routing)
    plan_now(session, now)
    page = as_owner.get(f"/schedule/lots/{lot.id}").text
    assert f"Waiting for component {made.number} at operation 10: no lot of it is released" in page
    assert f'<a href="/parts?q={made.number}">Release a lot of it</a>' in page
    assert forecast_of(session, good).outlook is Outlook.EXPECTED


def _nobody_left(routing):
    routing.operations[0].work_center.stations[0].active = False


@pytest.mark.parametrize(
    ("plan", "change", "pieces", "sentence", "mended"),
    [
        (single(1), _nobody_left, 1, "there is no station in", "Mend it at the stations and their hours"),
        ({**single(1), "cycle_ms": 0}, None, 1, "the cycle time must be above zero, not 0.", "Mend it on the lot"),
        (
            {"taking": Taking.BATCH, "cycle_ms": 60_000, "load_pieces": 9, "recipe": "r", "batch_grams": 400},
            None,
            2,
            "a piece of 500 g is too heavy for a batch of at most 400 g.",
            "Mend it on the lot",
        ),
        (
            single(9_999),
            None,
            900,
            "open hours for it within ten years.",
            "Mend it at the stations and their hours",
        ),
    ],
)
def test_what_makes_no_sense_is_told_and_the_rest_is_planned(
    as_owner, session, good, now, plan, change, pieces, sentence, mended
):
    routing = routing_of(plan)
    lot = make_lot(session, pieces=pieces, routing=routing, due_on=date(2025, 12, 1))
    if change:
        change(routing)
    session.commit()
    plan_now(session, now)
    at_lot = as_owner.get(f"/schedule/lots/{lot.id}").text
    assert all(each in at_lot for each in ("Operation 10:", sentence, mended, "Past due"))
    assert sentence in as_owner.get("/schedule/lots").text
    assert sentence in as_owner.get(f"/schedule/lots/{lot.id}/outlook").text
    assert (sentence in as_owner.get("/schedule/stopped").text) is ("stations" in mended)
    assert 'hx-get="/schedule/stopped"' in as_owner.get("/stations").text
    assert forecast_of(session, good).outlook is Outlook.EXPECTED


def test_a_station_that_is_down_for_months_is_waited_for_and_said(as_owner, session, good, now):
    routing = routing_of(single(60))
    station = routing.operations[0].work_center.stations[0]
    DowntimeFactory(station=station, starts_at=now, ends_at=datetime(2026, 7, 1, 18, tzinfo=UTC))
    lot = make_lot(session, pieces=1, routing=routing, due_on=date(2026, 1, 9))
    plan_now(session, now)
    page = as_owner.get(f"/schedule/lots/{lot.id}").text
    assert "Wed 1 Jul 14:00" in page
    assert f"{station.name} is down for" in page
