"""The 'done' form: what came out of an operation."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest
import sqlalchemy as sa

from app.lots.models import Entry, Job, Place, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import begin, check_entries, checks, hold_lot, send_ahead
from app.stations.models import Shop
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.floor.conftest import accept, refusal, words
from tests.statements import counted


@pytest.fixture
def second(session, tablet_at, lot, sam):
    """Return the tablet and operation of the second step, with all 50 pieces in work there."""
    first, operation, _ = lot.operations
    begin(session, act(station_id=station_of(first).id), [first.id])
    send_ahead(session, act(station_id=station_of(first).id), first.id, 50)
    tablet = tablet_at(station_of(operation))
    tablet.sign_on(sam)
    tablet.scan(operation_code(operation))
    return tablet, operation


def last(session) -> Posting:
    return session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first()


def test_two_scans_and_one_tap_sign_off_all_pieces_as_good(session, tablet, lot, begun, sam):
    form = tablet.client.get(tablet.scan(operation_code(begun)).location)
    assert "50 in work here" in words(form.text)
    response = tablet.done(begun)
    assert response.location == tablet.home
    assert whereabouts(lot) == {"20 waiting": 50}
    assert f"Signed off {lot_name(lot)} op 10: 50 good." in words(tablet.get().text)
    assert (last(session).verb, last(session).person_id) == (Verb.SIGN_OFF, sam.id)


def test_it_takes_a_few_statements_whatever_was_done_before(engine, session, tablet, lot, begun):
    counts = []
    for good in (10, 20, 20):
        with counted(engine) as sent:
            tablet.done(begun, good=good)
        counts.append(len(sent))
    assert whereabouts(lot) == {"20 waiting": 50}
    assert counts[0] == counts[1] <= 11
    assert counts[2] <= 10  # all pieces are done: nothing of the job has to be worked out again


def test_one_number_more_tells_the_scrap_and_the_rest_is_good(session, tablet, lot, begun):
    tablet.done(begun, scrap=3, scrap_reason="Tool broke")
    assert whereabouts(lot) == {"10 scrapped": 3, "20 waiting": 47}
    entry = session.scalars(sa.select(Entry).where(Entry.to_place == Place.SCRAPPED)).one()
    assert (entry.reason, entry.cause_operation_id) == ("Tool broke", begun.id)


def test_own_words_go_before_the_usual_reason(session, tablet, begun):
    tablet.done(begun, scrap=1, scrap_reason="Tool broke", scrap_words="insert 4 chipped")
    assert session.scalars(sa.select(Entry.reason).where(Entry.to_place == Place.SCRAPPED)).one() == "insert 4 chipped"


def test_a_number_of_good_pieces_that_was_typed_is_meant_as_it_stands(session, tablet, lot, begun):
    tablet.done(begun, good=40, scrap=2, scrap_reason="Tool broke")
    assert whereabouts(lot) == {"10 in_work": 8, "10 scrapped": 2, "20 waiting": 40}


def test_what_is_not_named_stays_in_work(session, tablet, lot, begun):
    tablet.done(begun, good=20)
    assert whereabouts(lot) == {"10 in_work": 30, "20 waiting": 20}
    assert session.scalars(sa.select(Job.pieces)).one() == 30


def test_scrap_that_an_earlier_operation_caused_names_it(session, lot, second):
    tablet, operation = second
    tablet.done(operation, scrap=4, scrap_reason="Wrong size", cause=lot.operations[0].id)
    entry = session.scalars(sa.select(Entry).where(Entry.to_place == Place.SCRAPPED)).one()
    assert (entry.from_operation_id, entry.cause_operation_id) == (operation.id, lot.operations[0].id)


def test_rework_goes_back_to_an_earlier_operation(session, lot, second):
    tablet, operation = second
    tablet.done(operation, rework=5, rework_to=lot.operations[0].id, rework_reason="Chatter or bad finish")
    assert whereabouts(lot) == {"10 waiting": 5, "30 waiting": 45}
    assert "45 good, 5 to rework" in words(tablet.get().text)


def test_scrap_and_rework_of_one_load_are_for_several_reasons(session, lot, second):
    tablet, operation = second
    first = lot.operations[0].id
    more = {
        "more_scrap-0-pieces": 2,
        "more_scrap-0-words": "burr",
        "more_scrap-0-operation": operation.id,
        "more_scrap-1-pieces": 1,
        "more_scrap-1-reason": "Tool broke",
        "more_scrap-1-operation": operation.id,
        "more_rework-0-pieces": 3,
        "more_rework-0-words": "polish",
        "more_rework-0-operation": first,
    }
    tablet.done(
        operation,
        scrap=4,
        scrap_reason="Wrong size",
        cause=first,
        rework=5,
        rework_to=first,
        rework_words="deburr",
        **more,
    )
    assert whereabouts(lot) == {"10 waiting": 8, "20 scrapped": 7, "30 waiting": 35}
    assert "35 good, 7 scrap, 8 to rework" in words(tablet.get().text)
    scrapped = sa.select(Entry.quantity, Entry.reason, Entry.cause_operation_id).where(Entry.to_place == Place.SCRAPPED)
    assert session.execute(scrapped.order_by(Entry.id)).all() == [
        (4, "Wrong size", first),
        (2, "burr", operation.id),
        (1, "Tool broke", operation.id),
    ]


def test_each_further_reason_is_asked_for_and_nothing_typed_is_lost(second):
    tablet, operation = second
    page = tablet.done(operation, **{"more_scrap-0-pieces": 2, "more_scrap-0-operation": operation.id}).text
    assert "Say why: choose or write a reason." in page
    assert re.search(r'more_scrap-0-pieces"[^>]*value="2"', page)
    assert "<details open>" in page


def test_rows_that_say_nothing_are_shown_again_as_they_were_sent(lot, second):
    tablet, operation = second
    first = lot.operations[0].id
    operations = {f"more_scrap-{row}-operation": first for row in range(2)}
    for filled_in in ({}, {"more_scrap-1-pieces": 2}):
        page = tablet.done(operation, good="many", **operations, **filled_in).text
        chosen = re.findall(
            r'more_scrap-(\d)-operation">(?:(?!</select>).)*?<option selected value="(\d+)"', page, re.S
        )
        assert chosen == [("0", str(first)), ("1", str(first))]
    assert re.search(r'more_scrap-1-pieces"[^>]*value="2"', page)


def test_the_first_operation_offers_no_rework(tablet, begun):
    assert "Back to rework" not in tablet.get(tablet.at(begun, "/done")).text


@pytest.mark.parametrize(
    ("counts", "message"),
    [
        ({"scrap": 3}, "Say why: choose or write a reason."),
        ({"good": ""}, "Type how many pieces are good; 0 for none."),
        ({"good": "many"}, "many"),
        ({"good": "-1"}, "0 or more"),
        ({"scrap": 60, "scrap_reason": "Tool broke"}, "Scrap and rework are more than the pieces that are here."),
        ({"scrap_reason": "x" * 3, "scrap": 1, "scrap_words": "y" * 201}, "Use 200 characters or fewer."),
    ],
)
def test_what_cannot_be_meant_is_said_beside_the_field_and_nothing_is_stored(tablet, lot, begun, counts, message):
    response = tablet.done(begun, **counts)
    assert response.status_code == 422
    assert message in words(response.text)
    assert whereabouts(lot) == {"10 in_work": 50}


def test_nothing_typed_is_lost(tablet, begun):
    page = tablet.done(begun, good=41, scrap=3, scrap_words="").text
    assert f'name="lot{begun.id}-good"' in page
    assert 'value="41"' in page
    assert 'value="3"' in page


def test_no_piece_at_all_is_no_sign_off(tablet, begun):
    assert refusal(tablet.done(begun, good=0)) == "Say how many pieces are good, scrap or rework."


def test_rework_needs_a_reason_and_an_earlier_operation(lot, second):
    tablet, operation = second
    assert "Say why" in tablet.done(operation, rework=5, rework_to=lot.operations[0].id).text
    assert "There is no earlier operation" in tablet.done(operation, rework=5, rework_reason="x").text
    sentence = refusal(tablet.done(operation, rework=5, rework_reason="x", rework_to=lot.operations[2].id))
    assert sentence.startswith("No pieces wait at")
    assert whereabouts(lot) == {"20 in_work": 50}


def test_more_pieces_than_could_exist_are_refused_outright(tablet, lot, begun):
    response = tablet.done(begun, good=51)
    assert refusal(response).startswith("51 pieces are more than can be there:")
    assert "Record it now" not in response.text
    assert whereabouts(lot) == {"10 in_work": 50}


def test_pieces_the_books_have_at_an_earlier_operation_are_recorded_late_in_one_step(session, tablet_at, lot, sam):
    first, second, _ = lot.operations
    begin(session, act(station_id=station_of(first).id), [first.id])
    send_ahead(session, act(station_id=station_of(first).id), first.id, 10)
    tablet = tablet_at(station_of(second))
    tablet.sign_on(sam)
    tablet.scan(operation_code(second))
    response = tablet.done(second, good=50, offered="")
    assert "op 10 Step 1 was not signed off for these 40 pieces." in refusal(response)
    assert accept(tablet, response, "Record it now for these 40 pieces").location == tablet.home
    assert whereabouts(lot) == {"30 waiting": 50}
    verbs = session.scalars(sa.select(Posting.verb).order_by(Posting.id.desc()).limit(2)).all()
    assert verbs == [Verb.SIGN_OFF, Verb.RECORD_LATE]


def test_a_missing_first_piece_can_be_confirmed_in_one_step(session, shop, tablet_at, sam):
    lot = make_lot(session, routing=make_routing(operations=2, first_piece=True))
    operation = lot.operations[0]
    tablet = tablet_at(station_of(operation))
    tablet.sign_on(sam)
    tablet.scan(operation_code(operation))
    response = tablet.done(operation)
    assert "needs a good first piece before it goes on." in refusal(response)
    assert accept(tablet, response, "The first piece was good").location == tablet.home
    verbs = session.scalars(sa.select(Posting.verb).order_by(Posting.id.desc()).limit(2)).all()
    assert verbs == [Verb.SIGN_OFF, Verb.FIRST_PIECE]


def test_a_lot_put_on_hold_meanwhile_is_not_signed_off(session, tablet, lot, begun):
    hold_lot(session, act(), lot.id, "crack found")
    assert "is on hold: crack found" in refusal(tablet.done(begun))
    assert "is on hold: crack found. Pause it until it is released." in words(tablet.get().text)


def test_what_a_later_area_refuses_is_said_and_nothing_typed_is_lost(tablet, lot, begun, monkeypatch):
    sentence = "Measure 2 pieces of op 10 first."
    monkeypatch.setattr(checks, "_checks", [])
    check_entries(lambda _session, entry: [sentence] if entry.from_operation.number == 10 else [])
    response = tablet.done(begun, good=47)
    assert refusal(response) == sentence
    assert 'value="47"' in response.text
    assert whereabouts(lot) == {"10 in_work": 50}


def test_the_same_form_sent_twice_counts_once(session, tablet, lot, begun):
    for _ in range(2):
        assert tablet.done(begun, good=20, key="one-form-one-time").location == tablet.home
    assert whereabouts(lot) == {"10 in_work": 30, "20 waiting": 20}


def test_it_counts_once_too_when_the_first_answer_was_lost_and_the_job_is_gone(session, tablet, lot, begun):
    first = {"good": 50, "offered": 50, "key": "one-form-one-time"}
    for _ in range(2):
        assert tablet.done(begun, **first).location == tablet.home
    assert whereabouts(lot) == {"20 waiting": 50}


def test_the_same_key_with_other_numbers_is_refused_and_shows_what_was_kept(tablet, lot, begun):
    tablet.done(begun, good=20, key="one-form-one-time")
    sentence = refusal(tablet.done(begun, good=21, key="one-form-one-time"))
    assert sentence.startswith("This form was already recorded: sign off, 20.")
    assert whereabouts(lot) == {"10 in_work": 30, "20 waiting": 20}


def test_what_is_not_open_here_has_no_done_form_and_is_not_signed_off(tablet, lot):
    operation = lot.operations[0]
    assert tablet.get(tablet.at(operation, "/done")).status_code == 409
    sentence = refusal(tablet.done(operation, good=5))
    assert sentence.endswith("is not open here. Scan it to begin.")
    assert whereabouts(lot) == {"10 waiting": 50}


def test_of_two_browsers_the_second_hears_that_the_job_is_gone(tablet, tablet_at, lot, begun):
    twin = tablet_at(station_of(begun))
    twin.get(twin.at(begun, "/done"))
    tablet.done(begun)
    assert "is not open here" in refusal(twin.done(begun, good=50, offered=50))
    assert whereabouts(lot) == {"20 waiting": 50}


def test_signed_off_by_idle_time_the_form_keeps_what_was_typed_and_asks_for_the_badge(
    session, tablet, begun, sam, clock
):
    session.get(Shop, 1).idle_minutes = 30
    session.commit()
    clock.forward(hours=1)
    response = tablet.done(begun, good=47)
    assert refusal(response).startswith("Scan your badge first")
    assert 'value="47"' in response.text
    badge = tablet.done(begun, good=47, code=sam.badge_code)
    assert 'value="47"' in tablet.client.get(badge.location).text


def test_when_it_happened_and_when_it_was_recorded_are_kept_apart(session, tablet, begun, clock):
    clock.forward(hours=1)
    tablet.done(begun, age="600")
    assert last(session).recorded_at == clock.now
    assert (clock.now - last(session).happened_at).total_seconds() == 600


def test_the_same_form_from_four_senders_at_once_counts_once(session, tablet, tablet_at, lot, begun):
    senders = [tablet_at(station_of(begun)) for _ in range(4)]
    fields = {f"lot{begun.id}-good": 20, "operations": begun.id, "key": "sent-by-all-four"}
    address = f"{tablet.home}{tablet.at(begun, '/sign-offs')}"
    session.rollback()
    with ThreadPoolExecutor(max_workers=4) as pool:
        answers = list(pool.map(lambda sender: sender.client.post(address, data=fields).status_code, senders))
    assert answers == [303] * 4
    assert whereabouts(lot) == {"10 in_work": 30, "20 waiting": 20}


def test_of_four_who_sign_off_the_same_pieces_at_once_one_is_right(session, tablet, tablet_at, lot, begun):
    senders = [tablet_at(station_of(begun)).client for _ in range(4)]
    address = f"{tablet.home}{tablet.at(begun, '/sign-offs')}"
    forms = [
        {f"lot{begun.id}-good": 50, "operations": begun.id, "key": f"sender-number-{number}"} for number in range(4)
    ]
    session.rollback()
    with ThreadPoolExecutor(max_workers=4) as pool:
        answers = pool.map(lambda sender, form: sender.post(address, data=form).status_code, senders, forms)
    assert sorted(answers) == [303, 422, 422, 422]
    assert whereabouts(lot) == {"20 waiting": 50}
