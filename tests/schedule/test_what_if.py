"""What if something were different, lot by lot.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

import re
from datetime import date, time

import pytest
import sqlalchemy as sa

from app.lots.queries import lot_name
from app.lots.services import SignOff, sign_off
from app.schedule import services
from app.schedule.models import Question, QuestionKind
from app.stations.models import Crew
from tests.factories.lots import act, make_lot
from tests.factories.schedule import answer_now, routing_of, single


def what_if(client, session, now, **typed):
    sent = client.post("/schedule/what-if", data={"whom": "setter", **typed})
    assert sent.status_code == 303
    answer_now(session, now)
    return client.get(sent.location).text


def test_a_station_that_were_down_and_a_closed_day_are_compared_lot_by_lot(as_owner, session, late, now):
    lot, first = late
    station = next(each for each in lot.operations[0].work_center.stations if each.name != "Spare")
    page = what_if(as_owner, session, now, change="down", station=station.id, until="2026-01-08T12:00")
    assert re.search(r"All lots together:\s+[^<]* now, [^<]* then\.", page)
    assert lot_name(first) in page
    assert "less late" not in page
    page = what_if(as_owner, session, now, change="closed", day="2026-01-08")
    assert "more late" in page


def test_that_less_is_late_with_something_missing_is_said_to_be_chance(as_owner, session, now):
    nothing = dict.fromkeys(("station_id", "until", "quantity", "due"))
    asked = {**nothing, "change": "closed", "day": "2026-01-08", "setter": True, "crew": "", "part": ""}
    kept = services.ask(session, QuestionKind.WHAT_IF, asked, now)
    kept.answered_at = now
    kept.answer = {"stuck": 0, "new": None, "moves": [], "late_lots_before": 1, "late_lots_after": 1}
    chance = "the lots happen to come in a better order then"
    for after, told in ((3600, True), (7200, False)):
        kept.answer = {**kept.answer, "late_seconds_before": 7200, "late_seconds_after": after}
        session.commit()
        assert (chance in as_owner.get(f"/schedule/what-if?question={kept.id}").text) is told


def test_what_cannot_be_tried_says_what_was_asked(as_owner, session, now):
    page = what_if(as_owner, session, now, change="person")
    assert "No shift names its people yet" in page
    assert "If one who sets up were missing in every shift" in page


def test_what_was_asked_stands_in_the_form_again_and_is_open_where_it_could_not_be_tried(as_owner, session, late, now):
    number = routing_of(single(60)).revision.part.number
    page = what_if(as_owner, session, now, change="rush", part=number, quantity="5", due="2026-01-09")
    typed = [re.search(rf'name="{name}"[^>]* value="([^"]*)"', page).group(1) for name in ("part", "quantity", "due")]
    assert typed == [number, "5", "2026-01-09"]
    assert "<details open>" not in page
    page = what_if(as_owner, session, now, change="person", whom="tender")
    assert page.count("<details open>") == 1
    assert re.search(r'<input checked[^>]* value="tender"', page)


def test_a_rush_order_is_tried_with_its_own_finish(as_owner, session, late, now):
    routing = routing_of(single(60))
    number = routing.revision.part.number
    page = what_if(as_owner, session, now, change="rush", part=number, quantity="5", due="2026-01-07")
    assert "The new order would be finished" in page


def test_a_rush_order_makes_only_what_is_not_free_in_stock(as_owner, session, late, now):
    routing = routing_of(single(60))
    number, made = routing.revision.part.number, make_lot(session, pieces=4, routing=routing)
    sign_off(session, act(), [SignOff(made.operations[0].id, 4)])
    session.commit()
    page = what_if(as_owner, session, now, change="rush", part=number, quantity="5")
    assert "4 are finished in stock and free; the rest is made." in page
    assert "The new order would be finished" in page
    page = what_if(as_owner, session, now, change="rush", part=number, quantity="4")
    assert "All of it is finished in stock and free." in page
    assert "The new order would be finished" not in page


def test_one_person_less_counts_where_people_are_named(as_owner, session, late, now):
    page = what_if(as_owner, session, now, change="person")
    assert "No shift names its people yet" in page
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=1, tenders=1))
    session.commit()
    page = what_if(as_owner, session, now, change="person", whom="tender", crew="Day")
    assert "If one who loads and tends were missing in the shift Day" in page
    assert re.search(r"All lots together:\s+[^<]* now, [^<]* then\.", page)


def test_lots_that_could_not_be_finished_are_no_gain(as_owner, session, now):
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(18), setters=1, tenders=1))
    setup, _ = (make_lot(session, pieces=10, routing=routing_of(single(18)), due_on=date(2026, 1, 6)) for _ in range(2))
    setup.operations[0].setup_seconds = 60
    session.commit()
    page = what_if(as_owner, session, now, change="person", crew="Day")
    assert "Then nobody sets up in the shift Day." in page
    assert "1 lot could not be finished at all." in page
    assert "cannot be finished" in page
    assert "less late" not in page
    assert re.search(r"Of the other lots:\s+[^<]* late over one lot now, [^<]* late over one lot then\.", page)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"change": "down", "until": "2020-01-01T10:00"}, "Enter until when it is down, after now."),
        ({"change": "closed"}, "Enter the day, today or later."),
        ({"change": "closed", "day": "2026-01-04"}, "Enter the day, today or later."),
        ({"change": "person", "crew": "Night"}, "Nobody does that there"),
        ({"change": "rush", "part": "none such"}, "Enter the number of a part that has a current revision."),
        ({"change": "rush", "quantity": "5", "due": "2026-01-06"}, "Enter a day from today on, or none."),
    ],
)
def test_what_is_missing_is_asked_for_beside_its_field(as_owner, session, late, typed, sentence):
    session.add(Crew(name="Night", weekdays=[0], starts=time(18), ends=time(23), setters=0, tenders=1))
    session.commit()
    known = {"part": late[0].revision.part.number}
    answer = as_owner.post("/schedule/what-if", data={"whom": "setter", **known, **typed})
    assert (answer.status_code, sentence in answer.text) == (422, True)
    assert session.scalars(sa.select(Question)).all() == []


def test_all_that_is_wrong_is_said_at_once(as_owner, late):
    answer = as_owner.post(
        "/schedule/what-if", data={"whom": "setter", "change": "rush", "part": "none such", "quantity": "0"}
    )
    assert answer.status_code == 422
    assert "Enter the number of a part that has a current revision." in answer.text
    assert "It must be 1 or more." in answer.text
