"""What a scan means at a station; it never finishes anything."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, next_number
from app.lots.models import Job, JobState, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import SignOff, begin, hold_lot, hold_pieces, issue_blanks, record_earlier, sign_off
from app.material.queries import issued_to_lot
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.floor.conftest import accept, refusal, words


def postings(session):
    return session.scalars(sa.select(Posting.verb).order_by(Posting.id)).all()


def states(session):
    return session.scalars(sa.select(Job.state).order_by(Job.id)).all()


def test_an_operation_with_set_up_time_begins_with_set_up(session, tablet, lot):
    response = tablet.scan(operation_code(lot.operations[0]))
    assert (response.status_code, response.location) == (303, tablet.home)
    assert states(session) == [JobState.SETTING_UP]
    assert "Setting up since 09:00" in words(tablet.get().text)


def test_without_set_up_time_it_runs_at_once(session, shop, tablet_at, sam):
    lot = make_lot(session, routing=make_routing(setup_seconds=0))
    tablet = tablet_at(station_of(lot.operations[0]))
    tablet.sign_on(sam)
    tablet.scan(operation_code(lot.operations[0]))
    assert states(session) == [JobState.RUNNING]


def test_the_same_part_needs_no_set_up_right_after_itself(session, shop, tablet_at, sam):
    routing = make_routing()
    first, second, other = make_lot(session, routing=routing), make_lot(session, routing=routing), make_lot(session)
    station = station_of(first.operations[0])
    tablet = tablet_at(station)
    tablet.sign_on(sam)
    tablet.scan(operation_code(first.operations[0]))
    tablet.done(first.operations[0])
    tablet.scan(operation_code(second.operations[0]))
    assert states(session) == [JobState.RUNNING]
    tablet.done(second.operations[0])
    tablet.scan(operation_code(other.operations[0]), anyway="1")
    assert states(session) == [JobState.SETTING_UP]


def test_an_undone_run_does_not_count_as_set_up(session, tablet, lot, begun):
    posting = session.scalars(sa.select(Posting.id).where(Posting.verb == Verb.BEGIN_SETUP)).one()
    tablet.post("/undos", posting=posting)
    tablet.scan(operation_code(begun))
    assert states(session) == [JobState.SETTING_UP]


def test_scanning_an_open_operation_again_shows_the_done_form_and_finishes_nothing(session, tablet, begun, lot):
    response = tablet.scan(operation_code(begun))
    assert response.location == f"{tablet.home}/operations/{begun.id}/done"
    page = tablet.client.get(response.location)
    assert page.status_code == 200
    assert f'name="lot{begun.id}-good"' in page.text
    assert 'value="50"' in page.text
    assert whereabouts(lot) == {"10 in_work": 50}


def test_a_lots_code_stands_for_its_operation_that_fits_the_station(session, tablet, lot):
    assert tablet.scan(lot_name(lot)).location == tablet.home
    assert whereabouts(lot) == {"10 in_work": 50}
    assert tablet.scan(lot_name(lot)).location.endswith(f"/operations/{lot.operations[0].id}/done")


def test_a_lot_without_an_operation_here_leads_to_its_page(session, tablet):
    other = make_lot(session)
    assert tablet.scan(lot_name(other)).location == f"/lots/{other.id}"


def test_a_stations_code_leads_there(tablet, lot):
    other = station_of(lot.operations[1])
    response = tablet.scan(format_code(CodeKind.STATION, other.number))
    assert response.location == f"/floor/stations/{other.id}"


def test_a_receipt_leads_to_its_page_while_nothing_open_takes_components(session, tablet):
    receipt = ReceiptFactory()
    assert tablet.scan(format_code(CodeKind.RECEIPT, receipt.number)).location == f"/receipts/{receipt.id}"


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("hello", "hello is not one of our codes. Scan it again, or type it as it is printed."),
        ("P00000012", "P00000012 is mistyped: its last character does not match. Scan it again or type all nine"),
        ("", "Scan or type a code."),
        ("L0000", "L0000 is not one of our codes."),
    ],
)
def test_a_code_that_cannot_be_read_is_refused_in_plain_words(session, tablet, code, sentence):
    before = postings(session)
    assert refusal(tablet.scan(code)).startswith(sentence)
    assert postings(session) == before


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (CodeKind.LOT, "There is no lot L"),
        (CodeKind.OPERATION, "There is no operation P"),
        (CodeKind.RECEIPT, "There is no receipt R"),
        (CodeKind.STATION, "There is no such station."),
    ],
)
def test_a_code_of_nothing_is_refused(tablet, kind, sentence):
    code = format_code(kind, next_number(kind, kind.highest_number - 60))
    assert refusal(tablet.scan(code)).startswith(sentence)


def test_small_letters_and_links_are_read_too(session, tablet, lot):
    code = operation_code(lot.operations[0])
    tablet.scan(f"http://shop-pc:8080/c/{code.lower()}")
    assert states(session) == [JobState.SETTING_UP]


def test_the_same_code_within_five_seconds_is_one_scan(session, tablet, lot, clock):
    code = operation_code(lot.operations[0])
    assert tablet.scan(code).location == tablet.home
    clock.forward(seconds=4)
    assert tablet.post("/scans", code=code).location == tablet.home
    clock.forward(seconds=6)
    assert tablet.post("/scans", code=code).location.endswith("/done")


def test_the_same_scan_sent_twice_is_one_scan_however_late(session, tablet, lot):
    code = operation_code(lot.operations[0])
    for _ in range(2):
        assert tablet.scan(code, key="the-same-key").location == tablet.home
    assert postings(session) == [Verb.START, Verb.BEGIN_SETUP]


def test_a_key_used_for_something_else_is_refused_and_says_what_it_kept(session, tablet, lot):
    other = make_lot(session)
    tablet.scan(operation_code(lot.operations[0]), key="the-same-key")
    sentence = refusal(tablet.scan(operation_code(other.operations[0]), key="the-same-key"))
    assert sentence.startswith("This form was already recorded: begin set-up, 50.")


@pytest.mark.parametrize("key", [None, "", "short", "has/slash/in/it", "x" * 65])
def test_a_change_without_a_good_key_is_refused(session, tablet, lot, key):
    sentence = refusal(tablet.scan(operation_code(lot.operations[0]), key=key))
    assert sentence == "This form came without its key, so it could count twice. Open the page again."
    assert states(session) == []


def test_a_scan_before_any_badge_is_kept_and_goes_on_after_it(session, tablet_at, lot, sam):
    tablet = tablet_at(station_of(lot.operations[0]))
    code = operation_code(lot.operations[0])
    response = tablet.scan(code)
    assert refusal(response) == "Scan your badge first: nobody is signed on at this station."
    assert f"{code} is kept and goes on after your badge." in response.text
    page = tablet.client.get(tablet.scan(sam.badge_code).location)
    assert f"{code} is kept and goes on after your PIN." in page.text
    assert states(session) == []
    assert tablet.sign_on(sam).location == tablet.home
    assert states(session) == [JobState.SETTING_UP]
    assert session.scalars(sa.select(Posting.person_id).order_by(Posting.id.desc())).first() == sam.id


def test_a_kept_scan_is_forgotten_after_ten_minutes(session, tablet_at, lot, sam, clock):
    tablet = tablet_at(station_of(lot.operations[0]))
    tablet.scan(operation_code(lot.operations[0]))
    clock.forward(minutes=11)
    tablet.sign_on(sam)
    assert states(session) == []


def test_a_lot_on_hold_is_refused_outright(session, tablet, lot):
    hold_lot(session, act(), lot.id, "customer asked to wait")
    response = tablet.scan(operation_code(lot.operations[0]))
    assert refusal(response).startswith(f"Lot {lot_name(lot)} is on hold: customer asked to wait.")
    assert 'name="anyway"' not in response.text
    assert states(session) == []


def test_pieces_on_hold_are_refused_outright(session, tablet, lot):
    hold_pieces(session, act(), lot.operations[0].id, 50, "soft?")
    assert refusal(tablet.scan(operation_code(lot.operations[0]))).startswith("The 50 pieces at lot")


def test_an_operation_of_no_pieces_says_so(session, tablet, lot):
    tablet.scan(operation_code(lot.operations[0]))
    tablet.done(lot.operations[0])
    sentence = refusal(tablet.scan(operation_code(lot.operations[0])))
    assert sentence == f"No pieces wait at lot {lot_name(lot)} op 10 Step 1."


def test_a_finished_lot_says_that_it_is_finished(session, tablet_at, shop, sam):
    lot = make_lot(session, routing=make_routing(operations=1))
    [op] = lot.operations
    sign_off(session, act(station_id=station_of(op).id), [SignOff(op.id, 50)])
    tablet = tablet_at(station_of(op))
    tablet.sign_on(sam)
    assert refusal(tablet.scan(operation_code(op))).startswith(f"Lot {lot_name(lot)} is finished")


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


def test_a_station_has_as_many_jobs_open_as_pallets(session, tablet, lot, begun):
    station = station_of(begun)
    station.pallets = 2
    session.commit()
    second, third = make_lot(session), make_lot(session)
    assert tablet.scan(operation_code(second.operations[0]), anyway="1").status_code == 303
    page = words(tablet.get().text)
    assert page.count("Setting up since") == 2
    assert "already runs" in refusal(tablet.scan(operation_code(third.operations[0]), anyway="1"))


def test_blanks_are_not_begun_at_a_station(session, shop, tablet_at, sam):
    lot = make_lot(session, routing=make_routing(blanks=True))
    tablet = tablet_at(station_of(lot.operations[1]))
    tablet.sign_on(sam)
    sentence = refusal(tablet.scan(operation_code(lot.operations[0]), anyway="1"))
    assert "is not done at a station. Record it on the lot's page." in sentence
    assert whereabouts(lot) == {"5 waiting": 50}


def test_two_tablets_scanning_the_same_operation_begin_it_once(session, tablet, tablet_at, lot, begun):
    twin = tablet_at(station_of(begun))
    assert twin.scan(operation_code(begun)).location.endswith("/done")
    assert states(session) == [JobState.SETTING_UP]


def test_an_entry_happened_its_age_before_it_was_received(session, tablet, lot, clock):
    clock.forward(hours=2)
    tablet.scan(operation_code(lot.operations[0]), age="1800")
    posting = session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()
    assert (posting.recorded_at, posting.happened_at) == (clock.now, clock.now.replace(hour=16, minute=30))


def test_a_tablet_cut_off_for_longer_than_the_idle_time_still_says_who_it_was(session, shop, tablet, sam, lot, clock):
    shop.idle_minutes = 30
    session.commit()
    clock.forward(hours=5)
    tablet.scan(operation_code(lot.operations[0]), age=str(5 * 3600 - 600))
    assert states(session) == [JobState.SETTING_UP]
    assert session.scalars(sa.select(Posting.person_id).order_by(Posting.id.desc())).first() == sam.id


@pytest.mark.parametrize("age", ["-5", "9999999", "soon", "1.5"])
def test_an_age_that_cannot_be_true_is_refused(session, tablet, lot, age):
    assert refusal(tablet.scan(operation_code(lot.operations[0]), age=age)).startswith("The tablet says this happened")
    assert states(session) == []


def test_an_unknown_station_has_no_page(tablet, lot):
    assert tablet.client.post("/floor/stations/999/scans", data={"code": "x", "key": "k" * 12}).status_code == 404
    assert tablet.client.get("/floor/stations/999").status_code == 404
