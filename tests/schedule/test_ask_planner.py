"""Questions that the planner answers: a date with confidence, and what it costs others at the front.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from app.schedule import services
from app.schedule.models import Question, QuestionKind
from app.schedule.planner import Planner
from app.schedule.queries.hours import second_of
from tests.factories.lots import make_lot
from tests.factories.schedule import plan_now, routing_of, single


def answer_now(session, now):
    planner = Planner(session.get_bind(), holder="answers", clock=lambda: now)
    planner.wake()
    planner.answering.wait()
    planner.answering.tend(now, planner.replayer)
    planner.leave()
    session.rollback()
    return session.scalars(sa.select(Question).order_by(Question.id.desc())).first()


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
    found = answer_now(session, now).answer
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


def test_without_a_quantity_nothing_is_asked(as_owner, session):
    assert as_owner.post("/schedule/promise", data={"revision_id": "1"}).status_code == 400
    assert session.scalars(sa.select(Question)).all() == []
