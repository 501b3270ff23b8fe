"""Where the floor is ahead of the books, the page offers the truth in one step."""

import pytest
import sqlalchemy as sa

from app.lots.models import Job, JobState, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import begin, issue_blanks, record_earlier
from app.material.queries import issued_to_lot
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.floor.conftest import accept, refusal


def postings(session):
    return session.scalars(sa.select(Posting.verb).order_by(Posting.id)).all()


def states(session):
    return session.scalars(sa.select(Job.state).order_by(Job.id)).all()


def test_an_earlier_operation_not_signed_off_can_be_recorded_now_in_one_step(session, tablet_at, lot, sam):
    second = lot.operations[1]
    tablet = tablet_at(station_of(second))
    tablet.sign_on(sam)
    response = tablet.scan(operation_code(second))
    assert refusal(response).startswith(f"Lot {lot_name(lot)} op 10 Step 1 was not signed off for these 50 pieces.")
    assert states(session) == []
    assert accept(tablet, response, "Record it now for these 50 pieces").location == tablet.home
    assert postings(session) == [Verb.START, Verb.RECORD_LATE, Verb.BEGIN_SETUP]
    assert whereabouts(lot) == {"20 in_work": 50}


@pytest.fixture
def without_blanks(session, shop, tablet_at, sam):
    """Return a lot of 50 whose blanks nobody issued, and the tablet at its second station."""
    lot = make_lot(session, routing=make_routing(operations=2, blanks=True))
    tablet = tablet_at(station_of(lot.operations[2]))
    tablet.sign_on(sam)
    return lot, tablet


def test_pieces_without_blanks_are_asked_which_receipt_they_came_from_in_one_step(session, without_blanks):
    lot, tablet = without_blanks
    receipt = ReceiptFactory(revision=lot.revision, pieces=60, heat="H7")
    second = lot.operations[2]
    response = tablet.scan(operation_code(second))
    assert refusal(response) == "No blanks are on record for 50 of these pieces. Say which receipt they came from."
    assert "Record it now" not in response.text
    assert accept(tablet, response, f"50 from {receipt.code}, heat H7").location == tablet.home
    assert postings(session) == [Verb.START, Verb.ISSUE_BLANKS, Verb.RECORD_LATE, Verb.BEGIN_SETUP]
    assert whereabouts(lot) == {"20 in_work": 50}
    assert [(each.receipt.heat, each.pieces) for each in issued_to_lot(session, lot.id)] == [("H7", 50)]


def test_where_no_receipt_has_enough_they_are_issued_together(session, without_blanks):
    lot, tablet = without_blanks
    older, newer = (ReceiptFactory(revision=lot.revision, pieces=pieces) for pieces in (20, 40))
    response = tablet.scan(operation_code(lot.operations[2]))
    label = f"20 from {older.code}, heat {older.heat}; 30 from {newer.code}, heat {newer.heat}"
    assert accept(tablet, response, label).location == tablet.home
    assert whereabouts(lot) == {"20 in_work": 50}
    assert sorted(each.pieces for each in issued_to_lot(session, lot.id)) == [20, 30]


def test_as_many_begin_as_there_are_blanks(session, without_blanks):
    lot, tablet = without_blanks
    receipt = ReceiptFactory(revision=lot.revision, pieces=20)
    response = tablet.scan(operation_code(lot.operations[2]))
    assert accept(tablet, response, f"20 from {receipt.code}, heat {receipt.heat}").location == tablet.home
    assert whereabouts(lot) == {"5 waiting": 30, "20 in_work": 20}


def test_more_signed_off_than_have_blanks_takes_those_before_it_along(session, without_blanks):
    lot, tablet = without_blanks
    receipt = ReceiptFactory(revision=lot.revision, pieces=60)
    _, first, second = lot.operations
    issue_blanks(session, act(), lot.id, receipt.id, 30)
    record_earlier(session, act(), second.id, 10)
    tablet.scan(operation_code(second))
    response = tablet.done(second, good=50, offered="")
    assert refusal(response).startswith("No blanks are on record for 20 of these pieces.")
    assert accept(tablet, response, f"20 from {receipt.code}, heat {receipt.heat}").location == tablet.home
    assert whereabouts(lot) == {"in_stock": 50}
    assert first.passed == 50


def test_where_no_blank_is_at_hand_it_must_be_received_first(session, without_blanks):
    lot, tablet = without_blanks
    response = tablet.scan(operation_code(lot.operations[1]), anyway="1")
    assert refusal(response) == (
        f"No blanks are on record for 50 pieces of lot {lot_name(lot)}, and none are at hand. "
        "Have them received in the office first, then record this."
    )
    assert whereabouts(lot) == {"5 waiting": 50}


def test_pieces_that_have_blanks_go_on_without_those_that_have_none(session, without_blanks):
    lot, tablet = without_blanks
    receipt = ReceiptFactory(revision=lot.revision, pieces=30)
    issue_blanks(session, act(), lot.id, receipt.id, 30)
    response = tablet.scan(operation_code(lot.operations[2]))
    assert accept(tablet, response, "Record it now for these 30 pieces").location == tablet.home
    assert whereabouts(lot) == {"5 waiting": 20, "20 in_work": 30}


def test_a_remedy_that_cannot_be_read_is_none(without_blanks):
    lot, tablet = without_blanks
    assert tablet.scan(operation_code(lot.operations[2]), blanks="1:2", earlier="7").status_code == 422


def test_what_cannot_go_on_after_it_records_nothing_late(session, tablet_at, lot, sam):
    second = lot.operations[1]
    busy = make_lot(session)
    begin(session, act(station_id=station_of(second).id), [busy.operations[0].id], anyway=True)
    tablet = tablet_at(station_of(second))
    tablet.sign_on(sam)
    response = tablet.scan(operation_code(second), earlier=f"{second.id}:50")
    assert "already runs" in refusal(response)
    assert whereabouts(lot) == {"10 waiting": 50}


def test_another_station_than_planned_is_said_and_can_be_confirmed_with_a_note(session, tablet, lot):
    other = make_lot(session)
    code = operation_code(other.operations[0])
    response = tablet.scan(code)
    assert "is planned for" in refusal(response)
    assert accept(tablet, response, "It really runs here").location == tablet.home
    posting = session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()
    assert (posting.verb, posting.reason) == (Verb.BEGIN_SETUP, "ran at another station than planned")


def test_a_station_that_is_down_can_be_said_to_be_back_in_one_step(session, tablet, lot, now):
    station = station_of(lot.operations[0])
    session.add(Downtime(station_id=station.id, starts_at=now.replace(hour=12), ends_at=now.replace(hour=22)))
    session.commit()
    response = tablet.scan(operation_code(lot.operations[0]))
    assert refusal(response) == f"{station.name} is recorded as down. Say first that it is back."
    assert accept(tablet, response, "The station is back").location == tablet.home
    assert states(session) == [JobState.SETTING_UP]
    assert session.scalars(sa.select(Downtime.ends_at)).one() < now.replace(hour=16)


def test_at_a_full_station_the_open_job_can_be_paused_in_one_step(session, tablet, lot, begun):
    other = make_lot(session)
    response = tablet.scan(operation_code(other.operations[0]), anyway="1")
    assert "Finish or pause it first." in refusal(response)
    assert accept(tablet, response, f"Pause {lot_name(lot)}").location == tablet.home
    assert states(session) == [JobState.PAUSED, JobState.SETTING_UP]
