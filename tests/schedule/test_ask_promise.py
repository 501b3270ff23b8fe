"""When an order that is being typed could be finished: the fragment for the order form."""

import re
from datetime import date, time, timedelta
from typing import Any

import pytest

from app.core.shop import OverClosed
from app.lots.services import SignOff, mean_for, sign_off
from app.parts.models import KindRole, Taking
from app.schedule.queries import Asked, promise_for
from app.schedule.queries.hours import second_of
from app.stations.models import Crew
from tests.factories.lots import act, make_lot, station_of
from tests.factories.material import MaterialOrderLineFactory, ReceiptFactory
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.parts import RevisionFactory, RoutingOperationFactory
from tests.factories.schedule import answer_now, forecast_of, plan_now, routing_of, single


def ask(client, routing, **sent):
    arguments = {"revision_id": routing.revision_id, "quantity": 10, "target": "lines-0-promise", **sent}
    return client.get("/schedule/promise", query_string=arguments)


@pytest.fixture
def routing(session):
    """Return a routing of 30 min of set-up and 2 min a piece at a station of its own."""
    return routing_of(single(2, setup=30))


def test_a_free_shop_begins_at_once(session, as_owner, routing, now):
    plan_now(session, now)
    text = ask(as_owner, routing).text
    assert text.count("<p") == 1
    assert '<p class="small" id="lines-0-promise">' in text
    assert "Could be finished <strong>Wed 7 Jan 09:50</strong>" in text
    assert "is busy" not in text


def test_it_fits_behind_what_is_planned_and_says_which_station_it_waits_for(session, as_owner, routing, now):
    make_lot(session, pieces=120, routing=routing)
    plan_now(session, now)
    text = ask(as_owner, routing, due="2026-01-08").text
    # 4 h 30 min of the lot before; then the same part, without a set-up.
    assert "<strong>Wed 7 Jan 13:50</strong>" in text
    station = station_of(routing.operations[0]).name
    assert f"it waits 4\u00a0h 30\u00a0min for {station}" in text
    assert "1\u00a0d 1\u00a0h before it must leave" in text


def test_a_date_that_cannot_be_kept_says_by_how_much(session, as_owner, routing, now):
    plan_now(session, now)
    text = ask(as_owner, routing, quantity=600, due="2026-01-07").text
    # 20 h 30 min of work from 9:00: nine hours today, the rest tomorrow from 6:00 to 17:30.
    assert "<strong>Thu 8 Jan 17:30</strong>" in text
    assert "1\u00a0d 2\u00a0h too late" in text


def test_where_shifts_name_their_people_it_runs_only_while_somebody_is_there(session, as_owner, routing, now):
    session.add(Crew(name="Mornings", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(10), setters=1, tenders=1))
    session.commit()
    plan_now(session, now)
    # 50 minutes of work from 9:00 on are done by 9:50; another 20 pieces end after 10:00, tomorrow.
    assert "<strong>Wed 7 Jan 09:50</strong>" in ask(as_owner, routing).text
    text = ask(as_owner, routing, quantity=30).text
    assert "<strong>Thu 8 Jan 06:30</strong>" in text
    assert "if enough people are free" in text
    station_of(routing.operations[0]).over_closed = OverClosed.UNATTENDED
    session.commit()
    assert "<strong>Wed 7 Jan 10:30</strong>" in ask(as_owner, routing, quantity=30).text  # it needs nobody to run


def test_what_was_promised_comes_true_and_moves_nothing_that_is_planned(session, as_owner, routing, now):
    first = make_lot(session, pieces=120, routing=routing)
    plan_now(session, now)
    before = forecast_of(session, first).finish_at
    assert "<strong>Wed 7 Jan 13:50</strong>" in ask(as_owner, routing).text
    new = make_lot(session, pieces=10, routing=routing)
    plan_now(session, now)
    assert forecast_of(session, new).finish_at == now + timedelta(hours=4, minutes=50)  # 13:50
    assert forecast_of(session, first).finish_at == before


def finished(session, routing, pieces):
    lot = make_lot(session, pieces=pieces, routing=routing)
    sign_off(session, act(), [SignOff(lot.operations[0].id, pieces)])
    session.commit()
    return lot


def test_free_stock_is_offered_first_and_needs_no_forecast(session, as_owner, routing):
    finished(session, routing, 12)
    text = ask(as_owner, routing).text
    assert "10 are finished in stock and free" in text
    assert "Could be finished" not in text


def test_only_what_stock_lacks_is_reckoned(session, as_owner, routing, now):
    finished(session, routing, 4)
    plan_now(session, now)
    text = ask(as_owner, routing).text
    assert "4 are finished in stock and free" in text
    # 6 of 2 min; the station is still set up for the part.
    assert "the rest:" in text
    assert "Wed 7 Jan 09:" in text


def test_how_sure_it_is_is_asked_of_what_stock_lacks_too(session, as_owner, routing, now):
    finished(session, routing, 4)
    plan_now(session, now)
    typed = {"revision_id": routing.revision_id, "quantity": 10, "due": "2026-01-30", "target": "row-promise"}
    asked = as_owner.post("/schedule/promise", data=typed)
    found = answer_now(session, now).answer
    assert found["in_stock"] == 4
    assert found["front"]["plain"] == second_of(now + timedelta(minutes=30 + 6 * 2))
    assert re.search(r"4 are finished in stock and free\s+·\s+the rest:", as_owner.get(asked.location).text)
    finished(session, routing, 6)
    as_owner.post("/schedule/promise", data=typed)
    assert answer_now(session, now).answer == {"problem": "All of it is finished in stock and free."}


def test_stock_that_is_meant_for_another_order_is_not_offered(session, as_owner, routing, now):
    lot = finished(session, routing, 12)
    other = DeliveryFactory(line=OrderLineFactory(revision=routing.revision), quantity=12)
    mean_for(session, act(), lot.id, other.id, 12)
    session.commit()
    plan_now(session, now)
    assert "in stock" not in ask(as_owner, routing).text


def test_what_is_lost_and_scrapped_is_reckoned_in(session, as_owner, now):
    plan_now(session, now)
    lossy = routing_of(single(2, setup_loss=3))
    # 10 wanted and 3 lost in setting up: 26 min.
    assert "<strong>Wed 7 Jan 09:26</strong>" in ask(as_owner, lossy).text


def test_blanks_that_must_be_ordered_first_take_their_lead_time(session, as_owner, now):
    bought = routing_of(single(2), blanks=7)
    plan_now(session, now)
    text = ask(as_owner, bought).text
    assert "<strong>Wed 14 Jan 12:20</strong> (a guess)" in text
    assert "blanks are to be ordered first" in text


def test_blanks_at_hand_begin_at_once_unless_another_lot_waits_for_them(session, as_owner, now):
    bought = routing_of(single(2), blanks=7)
    receipt: Any = ReceiptFactory(revision=bought.revision, pieces=10)
    plan_now(session, now)
    assert "<strong>Wed 7 Jan 09:20</strong>" in ask(as_owner, bought).text
    make_lot(session, pieces=10, routing=bought, issue_blanks=False)
    plan_now(session, now + timedelta(minutes=1))
    assert receipt.at_hand == 10
    assert "blanks are to be ordered first" in ask(as_owner, bought).text
    MaterialOrderLineFactory(revision=bought.revision, units=10, expected_on=date(2026, 1, 9))
    text = ask(as_owner, bought).text
    assert "its blanks are on order" in text
    assert "(a guess)" not in text


def test_a_batch_that_is_planned_may_be_joined(session, as_owner, now):
    plan = {"taking": Taking.BATCH, "cycle_ms": 3_600_000, "load_pieces": 100, "recipe": "deburr", "setup_seconds": 0}
    routing = routing_of(single(1), plan)
    make_lot(session, pieces=60, routing=routing)
    other = routing_of({**plan, "work_center": routing.operations[1].work_center})
    plan_now(session, now)
    outcome = promise_for(session, Asked(other.revision_id, 10), now)
    assert outcome.finish_at == now + timedelta(hours=1)  # alone at once: before the planned one at 10:00
    assert promise_for(session, Asked(other.revision_id, 10), now + timedelta(minutes=30)).finish_at == now + timedelta(
        hours=2
    )  # with the planned one


@pytest.mark.parametrize(
    ("sent", "answer"),
    [
        ({"quantity": ""}, "Type the quantity to see when it could be finished."),
        ({"quantity": "many"}, "Type a whole number, such as 12"),
        ({"quantity": "0"}, "It must be 1 or more."),
        ({"quantity": "3000000"}, "It must be 1,000,000 or less."),
        ({"revision_id": "x"}, "Choose a part and revision"),
        ({"due": "soon"}, "Enter a date as year-month-day"),
    ],
)
def test_what_is_typed_wrong_is_said_in_words_and_nothing_else_happens(session, as_owner, routing, now, sent, answer):
    plan_now(session, now)
    response = ask(as_owner, routing, **sent)
    assert response.status_code == 200
    assert answer in response.text
    assert "Could be finished" not in response.text


def test_without_a_forecast_or_a_routing_it_says_why_no_date_can_be_said(session, as_owner, routing, now):
    assert "No forecast has been made yet." in ask(as_owner, routing).text
    plan_now(session, now)
    bare: Any = RevisionFactory()
    assert "has no routing yet" in as_owner.get(f"/schedule/promise?revision_id={bare.id}&quantity=5").text
    assert as_owner.get("/schedule/promise?revision_id=999999&quantity=5").status_code == 404


def test_a_routing_that_nobody_can_do_says_so(session, as_owner, routing, now):
    station_of(routing.operations[0]).active = False
    session.commit()
    plan_now(session, now)
    assert "No date can be said. Operation 10: there is no station in" in ask(as_owner, routing).text


def test_an_id_that_could_be_anything_is_not_repeated(session, as_owner, routing, now):
    plan_now(session, now)
    text = ask(as_owner, routing, target='x"><script>').text
    assert "script" not in text
    assert 'id="promise"' in text


def test_promises_are_for_the_office(as_operator, client):
    assert as_operator.get("/schedule/promise").status_code == 403
    assert client.get("/schedule/promise").status_code == 303


def test_work_done_by_others_is_part_of_the_way(session, as_owner, routing, now):
    kind = routing.operations[0].kind.__class__(name="plating", role=KindRole.OUTSIDE)
    session.add(kind)
    session.commit()
    RoutingOperationFactory(
        routing=routing, number=20, title="Plate", kind=kind, work_center=None, taking=Taking.LEAD_TIME, lead_days=5
    )
    plan_now(session, now)
    assert "<strong>Mon 12 Jan 09:50</strong>" in ask(as_owner, routing).text
