"""A better order: looked for by the planner, proposed where it is worth it, in force once somebody accepts it.

Three lots wait at one station, each of ten pieces: by due date the long one goes first and makes all late.
"""

import re
from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from app.core.chances.simulation import PLAIN_REPLAYER, Simulation
from app.core.chances.uncertainty import Uncertainty
from app.lots.queries import lot_name
from app.parts.models import Routing
from app.schedule import queries, services
from app.schedule.models import AcceptedPlan, CameTo, OperationRank, OrderSearch, Proposal, Stage
from app.schedule.planner import Planner
from app.schedule.planner.searching import Budget, Search
from app.shared.lease import hold_lease
from tests.factories.lots import make_lot, make_ordered_lot
from tests.factories.schedule import forecast_of, plan_now, routing_of, single


@pytest.fixture
def lots(session):
    """A lot of 60 hours due tomorrow, and two of 2 hours due the day after."""
    days = (date(2026, 1, 8), date(2026, 1, 9), date(2026, 1, 9))
    first = routing_of(single(360))
    found = [make_lot(session, pieces=10, routing=first, due_on=days[0])]
    for day in days[1:]:
        routing = routing_of(single(12))
        routing.operations[0].work_center = first.operations[0].work_center
        session.commit()
        found.append(make_lot(session, pieces=10, routing=routing, due_on=day))
    return found


def planner_of(session, now, name="test"):
    planner = Planner(session.get_bind(), holder=name, clock=lambda: now)
    planner.searching = type(planner.searching)(session.get_bind(), name, planner.chancing.history, moves=30)
    return planner


def search_to_its_end(session, now):
    services.ask_search(session, None, now)
    planner = planner_of(session, now)
    planner.wake()
    planner.searching.wait()
    planner.searching.tend(now, planner.replayer)
    planner.leave()
    session.rollback()
    return session.scalars(sa.select(OrderSearch)).one()


def proposal(session):
    session.rollback()
    return session.scalars(sa.select(Proposal)).one_or_none()


def test_a_search_ends_as_a_proposal_that_says_who_gains_and_who_loses_and_changes_nothing(session, lots, now):
    plan_now(session, now)
    before = [forecast_of(session, lot).finish_at for lot in lots]
    search = search_to_its_end(session, now)
    assert (search.stage, search.share, search.late_lots_before, search.late_lots_best) == (Stage.ENDED, 100, 3, 1)
    found = proposal(session)
    gains = {each["lot_id"]: each["gain_s"] for each in found.lots}
    assert gains[lots[0].id] < 0 < gains[lots[1].id]
    assert found.late_seconds_before - found.late_seconds_after == sum(gains.values())
    assert found.plans_compared >= 1
    assert found.expected_seconds_after < found.expected_seconds_before
    (station,) = found.stations
    assert station["before"] != station["after"]
    assert session.scalars(sa.select(OperationRank)).all() == []
    plan_now(session, now)
    assert [forecast_of(session, lot).finish_at for lot in lots] == before


def test_a_proposal_says_how_many_operations_it_gives_their_place(as_owner, session, lots, now):
    search_to_its_end(session, now)
    ranked = len(proposal(session).ranks)
    assert ranked >= 1
    assert re.search(
        rf"It gives {ranked} operations? (its|their) place; for all others", as_owner.get("/schedule/order").text
    )


@pytest.mark.parametrize(("error", "said"), [(0.4, False), (0.6, True)])
def test_a_gain_of_less_than_twice_its_error_is_said_to_be_chance_perhaps(as_owner, session, lots, now, error, said):
    search_to_its_end(session, now)
    found = proposal(session)
    found.expected_error = round(error * (found.expected_seconds_before - found.expected_seconds_after))
    found.late_seconds_after = session.scalars(sa.select(OrderSearch)).one().late_seconds_best + said
    session.commit()
    page = as_owner.get("/schedule/order").text
    assert ("So small a gain may be chance." in page) is said
    assert ("less late as planned, but not on average" in page) is said


def test_an_order_is_also_tried_with_no_more_ranks_than_what_begins_soon_needs(session, lots, now):
    """A fourth lot waits for the 60 hours of the first: on Wednesday its turn is none of today's and tomorrow's."""
    routing = session.get_one(Routing, lots[0].routing_id)
    far = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 12))
    snapshot = queries.read_snapshot(session, now)
    search = Search(snapshot, Budget(0, moves=30), Uncertainty(), PLAIN_REPLAYER)
    search.join()
    tried = [good.ranks for good in search.compared]
    assert {(lot_name(far), 0) in ranks for ranks in tried} == {True, False}


def test_accepted_it_decides_who_goes_first_and_the_pages_say_so(as_owner, session, lots, now):
    search_to_its_end(session, now)
    page = as_owner.get("/schedule/order").text
    assert "Accept all" in page
    assert "ups and downs" in page
    assert ("more late" in page, "less late" in page) == (True, True)
    made_at = proposal(session).made_at.isoformat()
    answer = as_owner.post("/schedule/order/accept", data={"made_at": made_at, "everything": "1"})
    assert answer.location == "/schedule/order"
    plan_now(session, now)
    station = lots[0].operations[0].work_center.stations[0]
    queue = queries.station_queue(session, station.id)
    assert queue[-1].lot.id == lots[0].id
    assert {queued.why for queued in queue} == {"By the accepted plan"}
    assert queries.watched(session, now).late[0].lot_id == lots[0].id
    assert "3 operations have their place by it" in as_owner.get("/schedule/order").text
    assert "Stations go by the plan accepted" in as_owner.get("/schedule").text
    refused = as_owner.post("/schedule/order/accept", data={"made_at": made_at, "everything": "1"})
    assert (refused.status_code, "accepted, left or replaced meanwhile" in refused.text) == (422, True)
    as_owner.post("/schedule/order/drop")
    session.rollback()
    assert session.scalars(sa.select(OperationRank)).all() == []
    assert [each.stations for each in session.scalars(sa.select(AcceptedPlan).order_by(AcceptedPlan.id))] == [
        [station.name],
        [],
    ]


def test_parts_are_stations_and_at_least_one_must_be_ticked(as_owner, session, lots, now):
    search_to_its_end(session, now)
    made_at = proposal(session).made_at.isoformat()
    refused = as_owner.post("/schedule/order/accept", data={"made_at": made_at})
    assert (refused.status_code, "Tick at least one station" in refused.text) == (422, True)
    boxes = [
        page.count(' name="stations"') - page.count(" checked>")
        for page in (refused.text, as_owner.get("/schedule/order").text)
    ]
    assert (boxes[0] > 0, boxes[1]) == (True, 0)  # what was unticked stays so
    station = lots[0].operations[0].work_center.stations[0]
    as_owner.post("/schedule/order/accept", data={"made_at": made_at, "stations": [station.id]})
    session.rollback()
    assert {row.station_id for row in session.scalars(sa.select(OperationRank))} == {station.id}
    assert proposal(session) is None


def test_pins_are_respected(session, lots, now):
    services.pin_lot(session, lots[0].id, None, now)
    search = search_to_its_end(session, now)
    assert (search.late_lots_best, search.came_to) == (3, CameTo.NOTHING_BETTER)
    assert proposal(session) is None


def test_what_gains_no_more_than_the_setting_asks_for_is_not_proposed(as_owner, session, shop, lots, now):
    shop.plan_gain_hours = 1000
    session.commit()
    search = search_to_its_end(session, now)
    assert search.late_seconds_best < search.late_seconds_before
    assert proposal(session) is None
    page = as_owner.get("/schedule/order").text
    assert "gains no more than the 41\u00a0d 16\u00a0h that the shop asked for." in page


def test_what_is_no_better_on_average_is_not_proposed_and_the_page_says_so(as_owner, session, lots, now, monkeypatch):
    monkeypatch.setattr(Simulation, "expected_tardiness", 1.0)
    search = search_to_its_end(session, now)
    assert (search.came_to, proposal(session)) == (CameTo.NOT_ON_AVERAGE, None)
    assert "no order was less late on average than the one in force" in as_owner.get("/schedule/order").text


@pytest.mark.parametrize(
    ("decision", "said"),
    [("accept", "What it proposed was accepted."), ("leave", "What it proposed was not taken")],
)
def test_the_page_says_what_was_decided_about_a_proposal(as_owner, session, lots, now, decision, said):
    assert search_to_its_end(session, now).came_to is CameTo.PROPOSED
    assert said not in as_owner.get("/schedule/order").text
    typed = {"made_at": proposal(session).made_at.isoformat(), "everything": "1"}
    as_owner.post(f"/schedule/order/{decision}", data=typed)
    refused = as_owner.post("/schedule/order/leave", data=typed)  # what is decided stays so
    assert (refused.status_code, "accepted, left or replaced meanwhile" in refused.text) == (422, True)
    assert said in as_owner.get("/schedule/order").text


def test_a_newer_proposal_is_not_left_by_who_has_seen_an_older_one(as_owner, session, lots, now):
    search_to_its_end(session, now)
    seen = {"made_at": (proposal(session).made_at - timedelta(minutes=1)).isoformat()}
    assert as_owner.post("/schedule/order/leave", data=seen).status_code == 422
    session.rollback()
    assert proposal(session)


def test_a_customer_s_weight_counts(session, now):
    lots = [make_ordered_lot(session, due=date(2026, 1, 6), order__customer__weight=weight) for weight in (1, 5)]
    shop = queries.read_snapshot(session, now).shop
    assert sorted(lot.weight for lot in shop.lots) == [1, 5]
    assert len(lots) == 2


def test_stopped_it_keeps_the_best_and_the_page_shows_it_while_it_runs(as_owner, session, lots, now):
    as_owner.post("/schedule/order/search")
    assert "The planner begins to search in a moment" in as_owner.get("/schedule/order").text
    planner = planner_of(session, now)
    planner.wake()
    assert "Searching" in as_owner.get("/schedule/order").text
    as_owner.post("/schedule/order/search/stop")
    page = as_owner.get("/schedule/order").text
    assert ("It is being stopped" in page, "Searching" in page) == (True, False)
    planner.searching.tend(now, planner.replayer)
    planner.searching.wait()
    planner.searching.tend(now, planner.replayer)
    session.rollback()
    assert session.scalars(sa.select(OrderSearch)).one().stage is Stage.ENDED


def test_where_the_planner_dies_in_the_middle_its_successor_begins_again(session, lots, now, clock):
    services.ask_search(session, None, now)
    dead = planner_of(session, now, "dead")
    dead.wake()
    clock.forward(minutes=1)
    heir = planner_of(session, clock.now, "heir")
    heir.wake()
    heir.searching.wait()
    heir.searching.tend(clock.now, heir.replayer)
    session.rollback()
    assert session.scalars(sa.select(OrderSearch)).one().stage is Stage.ENDED
    assert proposal(session) is not None
    dead.searching.wait()
    dead.wake()  # it notices that it has lost the lease, and writes nothing
    assert hold_lease(session, "planner", "heir", clock.now)


@pytest.mark.parametrize("path", ["search", "search/stop", "accept", "leave", "drop"])
def test_operators_cannot_change_the_order(as_operator, path):
    assert as_operator.post(f"/schedule/order/{path}").status_code == 403
