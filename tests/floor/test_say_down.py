"""A station goes down as it happens: what runs is paused, the guess is asked for again, lots behind it are sent on."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.lots.models import Job, JobState, LotOperation, Posting, Sending, Verb
from app.lots.queries.names import lot_name, operation_code, operation_name
from app.lots.queries.verify import differences
from app.lots.services import begin
from app.parts.models import Taking
from app.stations.models import Downtime, Saying, StationChange
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.schedule import plan_now, runs_of
from tests.factories.stations import StationFactory
from tests.floor.conftest import accept, refusal, words


def test_one_tap_says_down_until_the_end_of_the_shift_and_back_again(session, tablet, sam, clock):
    asked = words(tablet.get("/downtimes").text)
    assert "In 1 hour At the end of this shift, Wed 7 Jan 18:00 Next morning, Thu 8 Jan 06:00" in asked
    answer = tablet.post("/downtimes", reason="Broke down", about="shift")
    assert answer.location == f"{tablet.home}/lots-behind"
    page = words(tablet.get().text)
    assert "Down since Wed 7 Jan 09:00: Broke down. Back about Wed 7 Jan 18:00, a guess." in page
    clock.forward(hours=1)
    assert tablet.post("/downtimes/end").location == tablet.home
    assert session.scalars(sa.select(Downtime.ends_at)).one() == clock.now
    assert "The station runs again." in words(tablet.get().text)
    assert "is not down" in refusal(tablet.post("/downtimes/end"))
    said = session.execute(sa.select(StationChange.what, StationChange.person_id).order_by(StationChange.id)).all()
    assert said == [(Saying.DOWN, sam.id), (Saying.BACK, sam.id)]


def test_what_runs_there_is_paused_by_it_and_nothing_may_begin(session, tablet, begun, lot):
    tablet.post("/downtimes", reason="Broke down", about="1h")
    assert session.scalars(sa.select(Job.state)).one() is JobState.PAUSED
    last = session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()
    assert last.verb is Verb.PAUSE
    down = refusal(tablet.post(tablet.at(begun, "/runs")))
    assert "is recorded as down. Say first that it is back." in down
    assert list(differences(session)) == []


def test_the_same_form_sent_again_pauses_nothing_that_began_since(session, tablet, begun):
    first = {"key": "the-same-form", "reason": "Broke down", "about": "1h"}
    tablet.post("/downtimes", **first)
    tablet.post("/downtimes/end", age="0")
    tablet.post(tablet.at(begun, "/runs"))
    assert tablet.post("/downtimes", **first).status_code == 303
    assert session.scalars(sa.select(Job.state)).one() is JobState.RUNNING
    assert "already recorded: down" in refusal(tablet.post("/downtimes", **{**first, "reason": "Other"}))


def test_said_late_it_happened_when_it_happened(session, tablet, begun, clock):
    clock.forward(hours=1)
    tablet.post("/downtimes", reason="Broke down", about="shift", age=1800)
    assert session.scalars(sa.select(Downtime.starts_at)).one() == clock.now - timedelta(minutes=30)
    last = session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()
    assert last.happened_at == clock.now - timedelta(minutes=30)


def test_a_downtime_needs_a_reason_and_somebody_signed_on(session, tablet):
    response = tablet.post("/downtimes", reason="", about="1h")
    assert response.status_code == 422
    assert "Say why: choose or write a reason." in response.text
    tablet.post("/sign-ons/1/end")
    assert refusal(tablet.post("/downtimes", reason="Broke down", about="1h")).startswith("Scan your badge first")
    assert session.scalars(sa.select(Downtime)).all() == []


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"about": "forever"}, "Choose when you think it is back, or type a day and time."),
        ({"about": ""}, "Choose when you think it is back, or type a day and time."),
        ({"back_at": "2026-01-07T08:00"}, "That time has passed."),
        ({"back_at": "2028-01-07T08:00"}, "A station is down for 400 days at most."),
        ({"back_at": "soon"}, "Enter a day and a time, such as 2026-02-06 14:30."),
    ],
)
def test_a_guess_that_cannot_be_is_refused_and_what_was_typed_stays(session, tablet, sent, sentence):
    response = tablet.post("/downtimes", **{"words": "coolant pump", "about": "1h", **sent})
    assert response.status_code == 422
    assert sentence in response.text
    assert 'value="coolant pump"' in response.text
    assert session.scalars(sa.select(Downtime)).all() == []


def test_a_time_that_was_typed_goes_before_the_choice(session, tablet):
    tablet.post("/downtimes", reason="Broke down", about="1h", back_at="2026-01-09T10:30")
    assert session.scalars(sa.select(Downtime.ends_at)).one() == datetime(2026, 1, 9, 16, 30, tzinfo=UTC)


def test_the_guess_is_asked_for_again_when_it_has_passed(session, tablet, as_owner, clock):
    tablet.post("/downtimes", reason="Broke down", about="1h")
    assert "Does it run?" not in tablet.get().text
    clock.forward(hours=2)
    page = words(tablet.get().text)
    assert "It was expected back Wed 7 Jan 10:00. Does it run?" in page
    assert "Not yet: at the end of this shift" in page
    review = words(as_owner.get("/review").text)
    assert "was expected back Wed 7 Jan 10:00 Does it run?" in review
    assert tablet.post("/guesses", about="1h").location == tablet.home
    assert session.scalars(sa.select(Downtime.ends_at)).one() == clock.now + timedelta(hours=1)
    assert "Does it run?" not in tablet.get().text


def test_no_guess_of_a_station_that_runs(tablet):
    assert "is not down" in refusal(tablet.post("/guesses", about="1h"))
    assert "It is not down." in words(tablet.get("/guesses").text)


def test_the_office_says_it_without_a_badge_and_under_its_own_name(session, as_setup_lead, lot, clock):
    station = station_of(lot.operations[0])
    home = f"/floor/stations/{station.id}"
    assert f"{home}/downtimes?office=1" in as_setup_lead.get(f"/stations/{station.id}").text
    assert 'name="office" type="hidden" value="1"' in as_setup_lead.get(f"{home}/downtimes?office=1").text
    said = {"key": "office-form-1", "office": "1", "reason": "Maintenance", "about": "1h"}
    assert as_setup_lead.post(f"{home}/downtimes", data=said).location == f"{home}/lots-behind?office=1"
    session.rollback()
    assert session.scalars(sa.select(StationChange.person_id)).one() == as_setup_lead.person.id
    assert as_setup_lead.post(f"{home}/downtimes/end", data={"key": "office-form-2", "office": "1"}).status_code == 303
    session.rollback()
    assert session.scalars(sa.select(Downtime)).all() == []


def test_the_office_form_is_for_those_who_may(client, as_operator, lot):
    home = f"/floor/stations/{station_of(lot.operations[0]).id}"
    said = {"key": "office-form-1", "office": "1", "reason": "Maintenance", "about": "1h"}
    assert client.post(f"{home}/downtimes", data=said).status_code == 401
    assert as_operator.post(f"{home}/downtimes", data=said).status_code == 403


@pytest.fixture
def sister(session, lot):
    """Return a second station that can do the lot's first operation."""
    return StationFactory(name="Zz sister", work_center=lot.operations[0].work_center)


def test_the_lots_behind_a_station_are_sent_to_another_one_and_the_forecast_follows(session, tablet, lot, sister, now):
    first = lot.operations[0]
    tablet.post("/downtimes", reason="Broke down", about="1h")
    plan_now(session, now)
    page = words(tablet.get("/lots-behind").text)
    assert f"{lot_name(lot)}" in page
    assert "To Zz sister" in page
    answer = tablet.post(tablet.at(first, "/sendings"), to=sister.id, reason="Station is down: Broke down")
    assert answer.location == f"{tablet.home}/lots-behind"
    plan_now(session, now)
    assert {run.station_id for run in runs_of(session, lot) if run.operation_id == first.id} == {sister.id}
    page = words(tablet.get("/lots-behind").text)
    assert f"Op 10 of lot {lot_name(lot)} goes to Zz sister Station is down: Broke down · Sam Okafor" in page
    there = words(tablet.client.get(f"/floor/stations/{sister.id}").text)
    assert "sent here: Station is down: Broke down" in there
    assert list(differences(session)) == []


def test_a_lot_sent_away_is_no_longer_next_here_before_any_forecast(session, tablet, lot, sister):
    code = operation_code(lot.operations[0])
    assert code in tablet.get().text
    tablet.post(tablet.at(lot.operations[0], "/sendings"), to=sister.id, reason="overload")
    assert code not in tablet.get().text
    assert code in tablet.client.get(f"/floor/stations/{sister.id}").text
    tablet.post(tablet.at(lot.operations[0], "/sendings/end"))
    assert code in tablet.get().text
    assert session.scalars(sa.select(LotOperation.sent_to_station_id)).all() == [None, None, None]
    assert [each.station_id for each in session.scalars(sa.select(Sending).order_by(Sending.id))] == [sister.id, None]


def test_running_it_here_all_the_same_lets_it_go(session, tablet, lot, sister):
    first = lot.operations[0]
    tablet.post(tablet.at(first, "/sendings"), to=sister.id, reason="overload")
    refused = tablet.scan(operation_code(first))
    assert f"{operation_name(first)[1:]} was sent to Zz sister, and this is" in refusal(refused)
    assert accept(tablet, refused, "It really runs here").status_code == 303
    assert session.scalars(sa.select(Job.station_id)).one() == tablet.station_id
    assert session.scalars(sa.select(LotOperation.sent_to_station_id)).all() == [None, None, None]
    assert list(differences(session)) == []


def test_work_that_a_downtime_interrupted_is_taken_off_and_goes_on_at_the_other_station(
    session, tablet, tablet_at, lot, sister, sam
):
    first = lot.operations[0]
    tablet.scan(operation_code(first))
    tablet.post("/downtimes", reason="Broke down", about="1h")
    page = words(tablet.get("/lots-behind").text)
    assert "Still on the machine" in page
    answer = tablet.post(tablet.at(first, "/take-offs"), key="take-off-once")
    assert answer.status_code == 303, refusal(answer)
    assert answer.location.endswith("/lots-behind")
    assert tablet.post(tablet.at(first, "/take-offs"), key="take-off-once").status_code == 303
    assert whereabouts(lot) == {"10 waiting": 50}
    assert session.scalars(sa.select(Job.id)).all() == []
    assert "Still on the machine" not in tablet.get("/lots-behind").text
    there = tablet_at(sister)
    there.sign_on(sam)
    assert there.scan(operation_code(first)).status_code == 303
    assert session.scalars(sa.select(Job.station_id)).one() == sister.id
    assert list(differences(session)) == []


def test_counted_pieces_are_signed_off_and_not_taken_off(session, tablet, lot):
    first = lot.operations[0]
    tablet.scan(operation_code(first))
    tablet.post(tablet.at(first, "/counts"), pieces=20)
    tablet.post(tablet.at(first, "/take-offs"))
    assert whereabouts(lot) == {"10 waiting": 30, "10 counted": 20}
    assert "sign them off instead" in refusal(tablet.post(tablet.at(first, "/take-offs")))


def test_what_cannot_be_sent_is_refused(session, tablet, lot, sister, clock):
    first = lot.operations[0]
    send = tablet.at(first, "/sendings")
    elsewhere = station_of(lot.operations[1])
    assert "is of another work center than" in refusal(tablet.post(send, to=elsewhere.id, reason="x"))
    assert "Say why" in refusal(tablet.post(send, to=sister.id, reason=" "))
    assert "There is no such station" in refusal(tablet.post(send, to=99, reason="x"))
    assert "is not sent to any one station" in refusal(tablet.post(tablet.at(first, "/sendings/end")))
    tablet.post(send, to=sister.id, reason="x", key="sent-once-1")
    assert tablet.post(send, to=sister.id, reason="x", key="sent-once-1").status_code == 303
    assert "already recorded" in refusal(tablet.post(send, to=tablet.station_id, reason="x", key="sent-once-1"))
    assert "is sent to Zz sister already" in refusal(tablet.post(send, to=sister.id, reason="x"))
    tablet.post("/sign-ons/1/end")
    assert refusal(tablet.post(send, to=sister.id, reason="x")).startswith("Scan your badge first")
    assert len(session.scalars(sa.select(Sending)).all()) == 1


def test_a_lot_that_has_passed_an_operation_is_not_sent_there(session, tablet, begun, lot, sister):
    tablet.post(tablet.at(begun, "/runs"))
    tablet.done(begun)
    assert "No pieces wait at" in refusal(tablet.post(tablet.at(begun, "/sendings"), to=sister.id, reason="x"))


def test_a_station_without_another_says_that_its_lots_wait(tablet, lot):
    tablet.post("/downtimes", reason="Broke down", about="1h")
    assert "has no other station: these lots wait." in words(tablet.get("/lots-behind").text)


def test_the_lots_behind_take_the_same_statements_however_many(session, engine, tablet, lot, sister):
    def count() -> int:
        seen = []

        def note(_connection, _cursor, statement, *_rest):
            seen.append(statement)

        sa.event.listen(engine, "before_cursor_execute", note)
        tablet.get("/lots-behind")
        sa.event.remove(engine, "before_cursor_execute", note)
        return len(seen)

    tablet.post(tablet.at(lot.operations[0], "/sendings"), to=sister.id, reason="x")
    before = count()
    for _ in range(5):
        other = make_lot(session)
        for operation in other.operations:
            operation.work_center_id = lot.operations[0].work_center_id
        session.commit()
        tablet.post(tablet.at(other.operations[1], "/sendings"), to=sister.id, reason="x")
    assert count() <= before + 2


def test_a_batch_pauses_once(session, shop, tablet_at, sam):
    routing = make_routing(operations=1, taking=Taking.BATCH, load_pieces=200, recipe="bowl", setup_seconds=0)
    lots = [make_lot(session, pieces=20, routing=routing) for _ in range(2)]
    station = station_of(lots[0].operations[0])
    tablet = tablet_at(station)
    tablet.sign_on(sam)
    begin(session, act(station_id=station.id, person_id=sam.id), [each.operations[0].id for each in lots])
    tablet.post("/downtimes", reason="Broke down", about="1h")
    assert session.scalars(sa.select(Job.state)).all() == [JobState.PAUSED] * 2
    pauses = session.scalars(sa.select(Posting).where(Posting.verb == Verb.PAUSE)).all()
    assert len(pauses) == 1
