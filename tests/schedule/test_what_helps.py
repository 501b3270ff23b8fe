"""What would help a late lot, done in one step.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

from datetime import date, time

import pytest
import sqlalchemy as sa

from app.lots.models import LotOperation
from app.lots.queries import lot_name
from app.material.models import ExpectedChange
from app.schedule import services
from app.schedule.models import LotForecast, QuestionKind
from app.schedule.planner import answers
from app.schedule.queries import moment_of
from app.stations.models import Crew, Overtime
from tests.factories.lots import make_lot
from tests.factories.material import MaterialOrderLineFactory
from tests.factories.schedule import answer_now, plan_now, routing_of, single
from tests.factories.stations import StationFactory


def ask_what_helps(client, session, lot, now):
    plan_now(session, now)
    assert "What would help?" in client.get(f"/schedule/lots/{lot.id}").text
    page = client.post(f"/schedule/lots/{lot.id}/remedies").location
    assert "The planner tries what could help" in client.get(page).text
    question = answer_now(session, now)
    return question, client.get(page).text


def test_what_helps_is_told_with_what_it_costs_and_done_in_one_step(as_owner, session, late, now):
    lot, _ = late
    question, page = ask_what_helps(as_owner, session, lot, now)
    found = {each["help"]: (place, each) for place, each in enumerate(question.answer["remedies"])}
    assert {"overtime", "split"} <= found.keys()
    saved = [each["saved_s"] // 3600 for each in question.answer["remedies"]]
    assert saved == sorted(saved, reverse=True)
    assert "works overtime from Wed 7 Jan 18:00 to Wed 7 Jan 22:00" in page
    place, step = found["overtime"]
    done = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": place})
    assert done.location == f"/schedule/remedies?question={question.id}"
    session.rollback()
    assert "Done Wed 7 Jan 09:00" in as_owner.get(done.location).text
    overtime = session.scalars(sa.select(Overtime)).one()
    assert (overtime.station_id, overtime.reason) == (step["station_id"], "Against late lots")
    again = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": place})
    assert (again.status_code, "overtime" in again.text) == (422, True)
    split = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": found["split"][0]})
    assert split.location == f"/schedule/remedies?question={question.id}"
    session.rollback()
    session.refresh(lot.operations[0])
    assert lot.operations[0].split_over == 2
    assert "split over 2 stations" in as_owner.get(f"/lots/{lot.id}").text
    gone = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": 99})
    assert (gone.status_code, "This answer is gone" in gone.text) == (422, True)


def test_a_lot_is_put_first_or_sent_to_another_station_where_that_helps(as_owner, session, now):
    routing = routing_of(single(30))
    StationFactory(work_center=routing.operations[0].work_center, name="Quick", pace=400)
    StationFactory(work_center=routing.operations[0].work_center, name="Other", pace=400)
    lots = [make_lot(session, pieces=60, routing=routing, due_on=date(2026, 1, day)) for day in (5, 5, 6, 7)]
    question, _ = ask_what_helps(as_owner, session, lots[3], now)
    found = {each["help"]: place for place, each in enumerate(question.answer["remedies"])}
    as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": found["front"]})
    session.rollback()
    session.refresh(lots[3])
    assert lots[3].pin == 1
    assert question.answer["remedies"][found["front"]]["losers"]
    if "another station" in found:
        as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": found["another station"]})
        session.rollback()
        session.refresh(lots[3].operations[0])
        assert lots[3].operations[0].sent_to_station_id is not None


def test_the_whole_board_is_helped_in_one_step_too(as_owner, session, late, now, monkeypatch):
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=0, tenders=2))
    for lot in late:
        lot.operations[0].setup_seconds = 600
    session.commit()
    plan_now(session, now)
    assert "Try what would help all late lots" in as_owner.get("/schedule/remedies").text
    page = as_owner.post("/schedule/remedies").location
    question = answer_now(session, now)
    assert question.answer["remedies"] == []  # nobody can set up: no lot has a finish, none is late by a plan
    crew = session.scalars(sa.select(Crew)).one()
    crew.setters, crew.tenders = 1, 1
    session.commit()
    with monkeypatch.context() as nobody_named:
        nobody_named.setattr(answers, "NAMED", 0)
        page = as_owner.post("/schedule/remedies").location
        answer_now(session, now)
        assert "and 1 more" in as_owner.get(page).text
    page = as_owner.post("/schedule/remedies").location
    question = answer_now(session, now)
    found = question.answer["remedies"]
    saved = [each["saved_s"] // 3600 for each in found]
    assert saved == sorted(saved, reverse=True)
    assert {each["name"] for each in found[0]["winners"]} <= {lot_name(lot) for lot in late}
    shown = as_owner.get(page).text
    assert "2 lots are late" in shown
    place = next(place for place, each in enumerate(found) if each["help"] == "split")
    done = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": place})
    assert done.location == f"/schedule/remedies?question={question.id}"
    session.rollback()
    assert session.scalars(sa.select(LotOperation.split_over).where(LotOperation.split_over > 1)).all() == [2]


def test_the_board_says_what_was_not_tried_or_is_not_shown(as_owner, session, late, now, monkeypatch):
    for most in ("NAMED_ON_BOARD", "LOTS_TRIED"):
        monkeypatch.setattr(answers, most, 1)
    page = as_owner.post("/schedule/remedies").location
    answer_now(session, now)
    for sentence in ("for 1 less late one nothing was tried", "more that save less are not shown"):
        assert sentence in as_owner.get(page).text


@pytest.mark.parametrize(
    ("step", "people"),
    [({"crew": "Day", "source": "", "setters": 1}, (2, 0)), ({"crew": "Late", "source": "Day", "setters": -1}, (1, 0))],
)
def test_a_person_is_moved_and_sending_ahead_is_planned_in_one_step(as_owner, session, late, now, step, people):
    for name, start in (("Day", 6), ("Late", 14)):
        session.add(Crew(name=name, weekdays=[0], starts=time(start), ends=time(18), setters=1, tenders=1))
    session.commit()
    lot = late[0]
    ahead = {"help": "send ahead", "lot": lot_name(lot), "lot_id": lot.id, "operation_id": lot.operations[0].id}
    steps = [{"help": "person moved", "lot": "", **step}, {**ahead, "pieces": 10}]
    question = services.ask(session, QuestionKind.REMEDIES, {"lot_id": lot.id}, now)
    question.answer, question.answered_at = {"lot_id": lot.id, "remedies": steps}, now
    session.commit()
    for place in range(2):
        done = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": place})
        assert done.location == f"/schedule/remedies?question={question.id}"
    session.rollback()
    session.refresh(lot.operations[0])
    assert lot.operations[0].send_ahead == 10
    day = session.scalars(sa.select(Crew).where(Crew.name == "Day")).one()
    assert (day.setters, day.tenders) == people
    again = as_owner.post("/schedule/remedies/apply", data={"question": question.id, "place": 0})
    assert (again.status_code, "This was done already." in again.text) == (422, True)


def late_for_blanks(session, now, **purchase):
    routing = routing_of(single(60), blanks=10)
    lot = make_lot(session, pieces=8, routing=routing, due_on=date(2026, 1, 16))
    return lot, MaterialOrderLineFactory(revision=routing.revision, units=8, **purchase)


def press_blanks(client, question):
    place = next(place for place, each in enumerate(question.answer["remedies"]) if each["help"] == "blanks sooner")
    return client.post("/schedule/remedies/apply", data={"question": question.id, "place": place})


def test_sooner_blanks_are_expected_in_one_step_once_their_vendor_has_agreed(as_owner, session, now):
    lot, line = late_for_blanks(session, now, expected_on=date(2026, 1, 20))
    question, page = ask_what_helps(as_owner, session, lot, now)
    vendor = line.order.vendor.name
    assert f"{vendor} delivers on Mon 19 Jan" in page  # Saturday would be three days sooner
    assert f"Ask {vendor} first" in page
    kept = next(each for each in question.answer["remedies"] if each["help"] == "blanks sooner")
    assert press_blanks(as_owner, question).location == f"/schedule/remedies?question={question.id}"
    session.rollback()
    assert line.expected_on == date(2026, 1, 19)
    [change] = session.scalars(sa.select(ExpectedChange))
    assert change.reason == f"Agreed with {vendor}. So that lot {lot_name(lot)} is less late"
    assert (change.expected_before, change.changed_by_id) == (date(2026, 1, 20), as_owner.person.id)
    back = f"/purchasing/lines/{line.id}/edit?day=2026-01-20"
    assert back in as_owner.get(f"/schedule/remedies?question={question.id}").text
    assert 'value="2026-01-20"' in as_owner.get(back).text
    assert 'value=""' in as_owner.get(back.replace("20", "x")).text
    plan_now(session, now)
    assert session.get(LotForecast, lot.id).finish_at == moment_of(kept["finish"])  # as it was tried


def test_a_purchase_that_was_moved_since_is_left_alone(as_owner, session, now):
    lot, line = late_for_blanks(session, now, expected_on=date(2026, 1, 20))
    question, _ = ask_what_helps(as_owner, session, lot, now)
    line.expected_on = date(2026, 1, 21)
    session.commit()
    refused = press_blanks(as_owner, question)
    assert (refused.status_code, "was moved to another day since" in refused.text) == (422, True)
    session.rollback()
    assert line.expected_on == date(2026, 1, 21)


def test_blanks_that_nobody_has_ordered_are_to_be_ordered_first(as_owner, session, now):
    lot, line = late_for_blanks(session, now)
    line.units = 1
    session.commit()
    question, page = ask_what_helps(as_owner, session, lot, now)
    assert "days sooner" in page
    assert "Order the blanks" in page
    refused = press_blanks(as_owner, question)
    assert (refused.status_code, "not ordered yet" in refused.text) == (422, True)


def test_a_lot_in_time_needs_no_help_and_a_finished_one_has_none(as_owner, session, now):
    lot = make_lot(session, pieces=1, routing=routing_of(single(1)), due_on=date(2026, 2, 7))
    plan_now(session, now)
    assert "What would help?" not in as_owner.get(f"/schedule/lots/{lot.id}").text
    page = as_owner.post(f"/schedule/lots/{lot.id}/remedies").location
    answer_now(session, now)
    assert "is expected on time by now" in as_owner.get(page).text
    page = as_owner.post("/schedule/lots/999/remedies").location
    answer_now(session, now)
    assert "This lot is finished" in as_owner.get(page).text
