"""What a scan means at a station; it never finishes anything."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, next_number
from app.lots.models import Job, JobState, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import SignOff, hold_lot, hold_pieces, sign_off
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.floor.conftest import refusal, words


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
    assert sentence.startswith("Lot ")
    assert sentence.startswith("Lot ")
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
