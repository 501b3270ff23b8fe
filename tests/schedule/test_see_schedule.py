"""The pages of the schedule: what they show, to whom, and at what cost."""

from datetime import date, timedelta

import pytest

from app.lots import services as lots
from app.lots.queries import lot_name
from app.parts.models import KindRole, Taking
from app.schedule import queries
from tests.factories.lots import act, make_lot, make_ordered_lot, station_of
from tests.factories.parts import OperationKindFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, single
from tests.factories.stations import StationFactory
from tests.statements import counted

PAGES = ["/schedule", "/schedule?days=14", "/schedule/lots", "/schedule/lots?show=late"]


def statements_of(engine, client, path) -> int:
    with counted(engine) as seen:
        assert client.get(path).status_code == 200
    return len(seen)


@pytest.mark.parametrize("path", PAGES)
def test_everybody_who_works_here_sees_the_schedule(request, path):
    for who in ("as_owner", "as_setup_lead", "as_operator", "as_inspector"):
        assert request.getfixturevalue(who).get(path).status_code == 200
    assert request.getfixturevalue("client").get(path).status_code == 303


def test_without_stations_and_lots_the_pages_say_what_to_do_first(as_owner):
    by_station = as_owner.get("/schedule").text
    assert "No forecast has been made yet." in by_station
    assert "There are no stations yet." in by_station
    assert "No lot is open." in as_owner.get("/schedule/lots").text
    assert "No lot is late or expected to be." in as_owner.get("/schedule/lots?show=late").text


def test_each_station_shows_its_runs_in_order(session, as_owner, now):
    routing = routing_of(single(2, setup=30))
    soon = make_lot(session, pieces=20, routing=routing, due_on=date(2026, 1, 8))
    later = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 20))
    plan_now(session, now)
    page = as_owner.get("/schedule").text
    assert station_of(soon.operations[0]).name in page
    assert page.index(lot_name(soon)) < page.index(lot_name(later))
    assert "Wed 7 Jan 09:00" in page
    assert "Wed 7 Jan 10:10" in page
    assert "set-up 30\u00a0min" in page
    assert "Thu 8 Jan" in page
    assert "1\u00a0d 4\u00a0h of slack" in page


def test_the_page_of_all_stations_leaves_out_what_starts_later_and_the_station_s_own_shows_it(session, as_owner, now):
    routing = routing_of(single(60))
    first = make_lot(session, pieces=30, routing=routing, due_on=date(2026, 1, 8))
    second = make_lot(session, pieces=1, routing=routing, due_on=date(2026, 1, 9))
    plan_now(session, now)
    tomorrow = as_owner.get("/schedule?days=1").text
    assert lot_name(first) in tomorrow
    assert lot_name(second) not in tomorrow
    assert lot_name(second) in as_owner.get("/schedule?days=3").text
    own = as_owner.get(f"/schedule/stations/{station_of(first.operations[0]).id}").text
    assert lot_name(second) in own


def test_nonsense_in_the_address_shows_the_usual_days(as_owner):
    assert 'value="3" selected' in as_owner.get("/schedule?days=many").text
    assert 'value="3" selected' in as_owner.get("/schedule?days=4000").text
    assert as_owner.get("/schedule/stations/999").status_code == 404
    assert as_owner.get("/schedule/lots/999").status_code == 404


def test_lots_stand_by_slack_those_that_cannot_be_planned_first(session, as_owner, now):
    routing = routing_of(single(2))
    roomy = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 2, 20))
    tight = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 7))
    late = make_lot(session, pieces=600, routing=routing, due_on=date(2026, 1, 8))
    held = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 3, 1))
    lots.hold_lot(session, act(), held.id, "crack found")
    plan_now(session, now)
    unseen = make_lot(session, pieces=10, routing=routing)
    page = as_owner.get("/schedule/lots").text
    places = [page.index(f">{lot_name(lot)}<") for lot in (held, late, tight, roomy, unseen)]
    assert places == sorted(places)
    assert "On hold: crack found." in page
    assert "The work alone takes until" in page
    assert "Not planned yet" in page
    only_late = as_owner.get("/schedule/lots?show=late").text
    assert lot_name(late) in only_late
    assert f">{lot_name(tight)}<" not in only_late


def test_a_lot_s_page_shows_where_its_time_goes_to_the_last_second(session, as_owner, now):
    routing = routing_of(single(2, setup=30), single(1))
    make_lot(session, pieces=200, routing=routing, due_on=date(2026, 1, 8))
    lot = make_lot(session, pieces=50, routing=routing, due_on=date(2026, 1, 12))
    plan_now(session, now)
    page = as_owner.get(f"/schedule/lots/{lot.id}").text
    found = forecast_of(session, lot)
    assert sum(wait["seconds"] for wait in found.waits) == (found.finish_at - now).total_seconds()
    assert f"Waiting for {station_of(lot.operations[0]).name}, busy with" in page
    assert "Where the time from now to its finish goes" in page
    assert "Due Mon 12 Jan" in page


def test_work_outside_has_one_name_on_a_lot_s_page(session, as_owner, now):
    StationFactory()  # somebody is there to take in what comes
    kind = OperationKindFactory(name="plating", role=KindRole.OUTSIDE)
    away = {"taking": Taking.LEAD_TIME, "lead_days": 3, "kind": kind, "work_center": None}
    lot = make_lot(session, pieces=5, routing=routing_of(away, blanks=2))
    plan_now(session, now)
    page = as_owner.get(f"/schedule/lots/{lot.id}").text
    assert "<td>Done by others: operation 10 Step 1</td>" in page
    assert '<td data-label="Station">done by others</td>' in page
    assert '<td data-label="Station">waiting for blanks</td>' in page


def test_a_finished_lot_says_so(session, as_owner):
    lot = make_lot(session, pieces=5, routing=routing_of(single(1)))
    station_id = station_of(lot.operations[0]).id
    lots.begin(session, act(station_id=station_id), [lot.operations[0].id])
    lots.sign_off(session, act(station_id=station_id), [lots.SignOff(lot.operations[0].id, 5)])
    assert "This lot is finished" in as_owner.get(f"/schedule/lots/{lot.id}").text
    assert as_owner.get(f"/schedule/lots/{lot.id}/outlook").text.strip().endswith("</div>")


def test_the_lot_s_rule_shows_today_and_the_expected_finish_between_release_and_due(session, as_owner, now, clock):
    lot = make_lot(session, pieces=10, routing=routing_of(single(1)), due_on=date(2026, 1, 9))
    plan_now(session, now)
    clock.forward(hours=1)
    text = as_owner.get(f"/schedule/lots/{lot.id}/outlook").text
    assert 'class="rule__now"' in text
    assert 'class="rule__finish"' in text
    assert "expected Wed 7 Jan" in text
    plan = queries.lot_plan(session, lot.id)
    assert plan.share_of_way(lot.released_at) == 0
    assert plan.share_of_way(plan.forecast.due_at) == 1


def test_the_outlook_for_a_lot_s_own_page_is_one_element_with_its_id(session, as_owner, now):
    lot = make_ordered_lot(session)
    plan_now(session, now)
    text = as_owner.get(f"/schedule/lots/{lot.id}/outlook").text.strip()
    assert text.startswith('<div id="outlook">')
    assert text.endswith("</div>")
    assert "Expected" in text


def test_the_age_of_the_forecast_is_in_words(session, as_owner, clock):
    lot = make_lot(session, pieces=5, routing=routing_of(single(1)))
    plan_now(session, clock.now)
    clock.forward(seconds=40)
    assert "40\u00a0s ago" in as_owner.get("/schedule").text
    assert "Nothing has changed since" in as_owner.get("/schedule").text
    lots.hold_lot(session, act(), lot.id, "drawing is unclear")
    assert "the next one is being made" in as_owner.get("/schedule").text
    clock.forward(minutes=30)
    assert "the planner has not answered since" in as_owner.get("/schedule").text


def test_pages_take_the_same_statements_for_five_lots_and_for_fifty(session, engine, as_owner, now):
    routing = routing_of(single(1), single(1))
    made = [make_lot(session, pieces=5, routing=routing, due_on=date(2026, 1, 9)) for _ in range(5)]
    plan_now(session, now)
    paths = [*PAGES, f"/schedule/lots/{made[0].id}", f"/schedule/stations/{station_of(made[0].operations[0]).id}"]
    few = {path: statements_of(engine, as_owner, path) for path in paths}
    for _ in range(45):
        make_lot(session, pieces=5, routing=routing, due_on=date(2026, 1, 9))
    plan_now(session, now + timedelta(minutes=2))
    assert {path: statements_of(engine, as_owner, path) for path in paths} == few
    assert max(few.values()) <= 9
