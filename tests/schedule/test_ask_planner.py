"""Questions that the planner answers: a date with confidence, and what it costs others at the front.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

import re
from datetime import date, time, timedelta
from threading import Event

import pytest
import sqlalchemy as sa

from app.core.chances.simulation import PLAIN_REPLAYER
from app.core.chances.uncertainty import Uncertainty
from app.schedule import services
from app.schedule.models import Question, QuestionKind
from app.schedule.planner import answering
from app.schedule.planner.answers import promise_answer
from app.schedule.planner.process import Planner
from app.schedule.queries import read_snapshot
from app.schedule.queries.hours import second_of
from app.shared.lease import HeldLease
from app.stations.models import Crew
from tests.factories.lots import make_lot
from tests.factories.schedule import answer_now, plan_now, routing_of, single


@pytest.fixture
def waiting(session):
    """A lot of five hours at the one station of a routing."""
    routing = routing_of(single(30))
    return make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 8)), routing


def typed(routing, quantity=10, due="2026-01-09"):
    return {"revision_id": routing.revision_id, "quantity": quantity, "due": due, "target": "row-promise"}


def test_a_date_is_as_sure_as_the_owner_wants_it_and_the_front_names_who_pays(as_owner, session, shop, waiting, now):
    lot, routing = waiting
    shop.promise_percent = 95
    session.commit()
    plan_now(session, now)
    assert "How sure is that?" in as_owner.get("/schedule/promise", query_string=typed(routing)).text
    asked = as_owner.post("/schedule/promise", data=typed(routing))
    assert asked.status_code == 303
    assert "The planner is reckoning" in as_owner.get(asked.location).text
    question = answer_now(session, now)
    found = question.answer
    plain = second_of(now + timedelta(hours=22))  # nine hours today, the tenth from six tomorrow
    assert found["turn"]["plain"] >= plain
    assert found["turn"]["sure"] > found["turn"]["plain"]  # 95 percent is surer than as planned
    assert found["turn"]["payers"] == []
    assert found["front"]["sure"] < found["turn"]["sure"]
    assert [each["name"] for each in found["front"]["payers"]]
    page = as_owner.get(asked.location).text
    assert "95 percent sure by" in page
    assert "It costs others:" in page
    assert 'id="row-promise"' in page
    assert found["front"]["payers"][0]["lot_id"] == lot.id
    assert "Rough dates, from 10 tries only" in page  # as without numba


def test_the_dates_as_planned_come_first_and_the_page_says_that_the_sure_ones_follow(as_owner, session, waiting, now):
    _, routing = waiting
    plan_now(session, now)
    asked = as_owner.post("/schedule/promise", data=typed(routing))
    session.rollback()
    question = session.scalars(sa.select(Question)).one()
    snapshot = read_snapshot(session, now)
    compute = promise_answer(session, snapshot, Uncertainty, question.asked)
    first, second, last = compute(PLAIN_REPLAYER)
    assert ["sure" in each[place] for each in (first, second) for place in ("turn", "front")] == [0, 0, 1, 0]
    assert second["turn"] == last["turn"]
    assert (last["turn"]["plain"], last["front"]["payers"]) == (first["turn"]["plain"], first["front"]["payers"])
    session.rollback()
    HeldLease(session.get_bind(), services.PLANNER, "tests").hold(now)
    services.answer(session, question.id, first, None, holder="tests")
    page = as_owner.get(asked.location).text
    assert re.search(r"Could be finished <strong>Thu 8 Jan [^<]*</strong> as planned, in its turn", page)
    assert re.search(r"If moved to the front: <strong>[^<]*</strong> as planned", page)
    assert "percent sure follows: the planner is reckoning" in page
    assert 'hx-trigger="every 250ms"' in page


def test_what_people_cannot_do_has_no_date_and_says_why(as_owner, session, now):
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=0, tenders=2))
    session.commit()
    routing = routing_of(single(1, setup=30))
    plan_now(session, now)
    asked = as_owner.post("/schedule/promise", data=typed(routing))
    answer_now(session, now)
    said = "no shift has the people to set it up or to tend it while its stations are open."
    assert f"No date can be said. Operation 10: {said}" in as_owner.get(asked.location).text


def test_a_part_without_a_routing_has_no_date(as_owner, session, now):
    routing = routing_of(single(1))
    services.ask(session, QuestionKind.PROMISE, {"revision_id": routing.revision_id, "quantity": 0, "due": None}, now)
    assert answer_now(session, now).answered_at is not None  # what cannot be answered does not stay in the way


def test_an_error_is_an_answer_too_and_old_questions_are_thrown_away(as_owner, session, now):
    services.ask(session, QuestionKind.PROMISE, {"revision_id": 999}, now - timedelta(days=2))
    question = services.ask(session, QuestionKind.PROMISE, {"revision_id": 999}, now)
    assert session.scalars(sa.select(Question.asked_at)).all() == [now]
    found = answer_now(session, now)
    assert (found.id, found.answer) == (question.id, None)
    page = as_owner.get(f"/schedule/promise/answer?question={question.id}").text
    assert "could not answer this" in page
    assert "Ask again" in as_owner.get("/schedule/promise/answer?question=0").text


def test_a_forecast_waits_five_seconds_for_answers_however_many_follow_one_another(session, now, monkeypatch):
    told = [Event(), Event()]

    def when_told(_session, _snapshot, _uncertain, asked):
        return lambda _replayer: iter(told[asked["number"]].wait() and [])

    monkeypatch.setitem(answering.PREPARE, QuestionKind.PROMISE, when_told)
    for number in range(2):
        services.ask(session, QuestionKind.PROMISE, {"number": number}, now)
    clock = [now]
    planner = Planner(session.get_bind(), holder="answers", clock=lambda: clock[0])
    planner.wake()
    assert planner.answering.comes_first(now + timedelta(seconds=4))
    told[0].set()
    planner.answering.wait()
    clock[0] = now + timedelta(seconds=4)
    planner.wake()
    assert planner.answering.is_busy  # with the second
    assert planner.answering.comes_first(clock[0])
    assert not planner.answering.comes_first(now + timedelta(seconds=5))
    told[1].set()
    planner.answering.wait()
    planner.wake()
    assert not planner.answering.comes_first(clock[0])
    planner.leave()


def test_without_a_quantity_nothing_is_asked(as_owner, session):
    assert as_owner.post("/schedule/promise", data={"revision_id": "1"}).status_code == 400
    assert session.scalars(sa.select(Question)).all() == []
