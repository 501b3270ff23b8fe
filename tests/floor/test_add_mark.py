"""What takes one tap while an operation is open: run, pause, take over, first piece; down and back."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, next_number
from app.floor.models import SignOn
from app.lots.models import Job, JobState, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import hold_lot
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.floor.conftest import PIN, accept, refusal, words


def job(session) -> Job:
    return session.scalars(sa.select(Job)).one()


def test_set_up_is_done_and_it_runs_pauses_and_runs_again(session, tablet, begun, clock):
    for mark, state, shown in (
        ("runs", JobState.RUNNING, "Running since 10:00"),
        ("pauses", JobState.PAUSED, "Paused since 11:00"),
        ("runs", JobState.RUNNING, "Running since 12:00"),
    ):
        clock.now = clock.now.replace(minute=0, second=0) + (clock.now.replace(hour=1) - clock.now.replace(hour=0))
        assert tablet.post(tablet.at(begun, f"/{mark}")).location == tablet.home
        assert job(session).state is state
        assert shown in words(tablet.get().text)


def test_what_is_not_open_here_cannot_be_marked(tablet, lot):
    sentence = refusal(tablet.post(tablet.at(lot.operations[0], "/runs")))
    assert sentence == f"Lot {lot_name(lot)} op 10 Step 1 is not open here. Scan it to begin."


def test_a_mark_needs_somebody_signed_on_and_a_key(session, tablet, tablet_at, begun):
    stranger = tablet_at(station_of(begun))
    stranger.client = tablet.client
    assert "without its key" in refusal(tablet.post(tablet.at(begun, "/runs"), key=""))
    tablet.post("/sign-ons/1/end")
    assert refusal(tablet.post(tablet.at(begun, "/runs"))).startswith("Scan your badge first")
    assert job(session).state is JobState.SETTING_UP


def test_there_is_no_other_mark(tablet, begun):
    assert tablet.post(tablet.at(begun, "/finishes")).status_code == 404


def test_running_again_where_the_pallet_is_taken_offers_to_pause_the_other(session, tablet, begun):
    other = make_lot(session)
    tablet.post(tablet.at(begun, "/pauses"))
    tablet.scan(operation_code(other.operations[0]), anyway="1")
    response = tablet.post(tablet.at(begun, "/runs"))
    assert accept(tablet, response, f"Pause {lot_name(other)}").location == tablet.home
    states = session.scalars(sa.select(Job.state).order_by(Job.id)).all()
    assert states == [JobState.RUNNING, JobState.PAUSED]


def test_the_next_badge_can_take_over_what_is_open(session, tablet, begun, person):
    kim = person(name="Kim Lindqvist")
    assert "Take it over" not in tablet.get().text
    tablet.sign_on(kim)
    assert "Take it over" in tablet.get().text
    tablet.post(tablet.at(begun, "/hand-overs"))
    assert job(session).person_id == kim.id
    assert "Take it over" not in tablet.get().text


def test_a_job_of_a_lot_on_hold_can_be_paused(session, tablet, lot, begun):
    hold_lot(session, act(), lot.id, "crack found")
    assert tablet.post(tablet.at(begun, "/pauses")).location == tablet.home
    assert "is on hold" in refusal(tablet.post(tablet.at(begun, "/runs")))


@pytest.fixture
def first_piece(session, shop, tablet_at, sam):
    lot = make_lot(session, routing=make_routing(operations=2, first_piece=True))
    operation = lot.operations[0]
    tablet = tablet_at(station_of(operation))
    tablet.sign_on(sam)
    tablet.scan(operation_code(operation))
    return tablet, operation


def test_the_first_piece_is_good_by_whoever_acts(session, first_piece, sam):
    tablet, operation = first_piece
    assert "First piece good" in tablet.get().text
    tablet.post(tablet.at(operation, "/first-pieces"))
    posting = session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()
    assert (posting.verb, posting.person_id, posting.recorded_by_id) == (Verb.FIRST_PIECE, sam.id, sam.id)
    assert job(session).first_piece_good
    assert "First piece good" not in words(tablet.get().text).replace("The first piece is recorded as good.", "")


def last_posting(session):
    session.rollback()
    return session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()


def test_another_one_who_checked_it_shows_their_badge_and_pin_and_is_not_signed_on(session, first_piece, sam, person):
    tablet, operation = first_piece
    ines = person("inspector", name="Ines Roy")
    url = tablet.at(operation, "/first-pieces")
    asked = tablet.post(url, code=ines.badge_code)
    assert asked.location == f"{tablet.home}{url}?badge={ines.badge_code}"
    assert "Ines Roy, your PIN" in words(tablet.get(f"{url}?badge={ines.badge_code}").text)
    assert last_posting(session).verb is not Verb.FIRST_PIECE
    assert tablet.post(url, code=ines.badge_code, pin=PIN).location == tablet.home
    posting = last_posting(session)
    assert (posting.verb, posting.person_id, posting.recorded_by_id) == (Verb.FIRST_PIECE, ines.id, sam.id)
    assert tablet.post("/scans", code=ines.badge_code).location == tablet.home  # the scanner's echo
    assert [each.person_id for each in session.scalars(sa.select(SignOn).where(SignOn.ended_at.is_(None)))] == [sam.id]


def test_who_gave_their_pin_on_this_device_today_checks_with_the_badge_alone(session, first_piece, sam, person):
    tablet, operation = first_piece
    ines = person("inspector", name="Ines Roy")
    tablet.sign_on(ines)
    tablet.sign_on(sam)
    assert tablet.post(tablet.at(operation, "/first-pieces"), code=ines.badge_code).location == tablet.home
    assert last_posting(session).person_id == ines.id


def test_a_wrong_pin_another_operator_and_a_badge_of_nobody_check_nothing(session, first_piece, person):
    tablet, operation = first_piece
    url = tablet.at(operation, "/first-pieces")
    ines, olga = person("inspector", name="Ines Roy"), person("operator", name="Olga Lind")
    wrong = tablet.post(url, code=ines.badge_code, pin="0000")
    assert (wrong.status_code, "4 more tries" in wrong.text) == (422, True)
    assert "does not check first pieces for others" in refusal(tablet.post(url, code=olga.badge_code, pin=PIN))
    nobody = format_code(CodeKind.BADGE, next_number(CodeKind.BADGE, 900_000))
    assert "belongs to nobody" in refusal(tablet.post(url, code=nobody))
    assert "is mistyped" in refusal(tablet.post(url, code="P00000012"))
    assert last_posting(session).verb is not Verb.FIRST_PIECE


def test_the_code_of_something_else_means_there_what_it_means_elsewhere(first_piece, person):
    tablet, operation = first_piece
    tablet.clock.forward(seconds=10)
    answer = tablet.post(tablet.at(operation, "/first-pieces"), code=operation_code(operation))
    assert answer.location == f"{tablet.home}{tablet.at(operation)}/done"


def test_no_first_piece_of_what_is_not_open(tablet, lot):
    assert "is not open here" in refusal(tablet.post(tablet.at(lot.operations[0], "/first-pieces")))
