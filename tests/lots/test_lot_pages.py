"""Pages of lots: the list, the release, one lot, its traveler."""

import re
from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.models import Lot, TravelerPrint
from app.lots.services import SignOff, hold_lot, sign_off
from app.parts.models import BlankSource
from tests.factories.lots import act, make_lot, make_ordered_lot, make_routing, whereabouts
from tests.factories.material import ReceiptFactory
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def delivery_of(routing, quantity=100, **delivery):
    line = OrderLineFactory(revision=routing.revision)
    return DeliveryFactory(line=line, quantity=quantity, **delivery)


def release(client, delivery, **typed):
    data = {
        "key": "k1",
        "revision_id": delivery.line.revision_id,
        "needed": str(delivery.quantity),
        "to_start": "",
        "shares-0-delivery_id": str(delivery.id),
        "shares-0-chosen": "y",
        "shares-0-quantity": str(delivery.quantity),
        "issue_blanks": "y",
        "then": "release",
    }
    return client.post("/lots", data={**data, **typed})


def test_the_release_page_proposes_a_start_and_says_why(as_owner, session):
    delivery = delivery_of(make_routing(operations=2, blanks=True, expected_yield="0.98", setup_loss=1))
    page = as_owner.get(f"/lots/new?delivery={delivery.id}").text
    assert 'value="110"' in page
    assert "100 needed + 2 lost in setting up + 8 for a yield of 96 %, to be 95 % sure = 110" in page


def test_without_a_blank_ordering_operation_the_blanks_at_hand_cap_the_start(as_owner, session):
    routing = make_routing(operations=1, expected_yield="0.9")
    ReceiptFactory(revision=routing.revision, pieces=110)
    page = as_owner.get(f"/lots/new?delivery={delivery_of(routing).id}").text
    assert "only 110 blanks are at hand, so the order is" in page
    assert re.search(r'name="to_start"[^>]*value="110"', page)


@pytest.mark.parametrize(
    ("source", "orders", "told"),
    [
        (BlankSource.VENDOR, False, "This routing has no operation that orders blanks"),
        (BlankSource.CUSTOMER, True, "waits at the operation that orders blanks until they are received"),
        (BlankSource.CUSTOMER, False, "this routing has no operation that waits for them"),
    ],
)
def test_with_no_blanks_at_hand_the_whole_start_is_proposed_and_what_to_do_is_said(
    as_owner, session, source, orders, told
):
    routing = make_routing(operations=1, blanks=orders)
    routing.revision.blank_source = source
    session.commit()
    delivery = delivery_of(routing)
    page = as_owner.get(f"/lots/new?delivery={delivery.id}").text
    assert re.search(r'name="to_start"[^>]*value="100"', page)
    assert "No blanks are at hand" in page
    assert told in page
    assert f"/receipts/new?part={routing.revision.part.number}&amp;revision=A" in page
    assert ("Go to the part and its routing" in page) is not orders
    assert release(as_owner, delivery, to_start="100").status_code == 303
    session.rollback()
    assert session.scalars(sa.select(Lot.start_reason)).one() == "100 needed"


def test_where_blanks_can_be_bought_none_at_hand_needs_no_warning(as_owner, session):
    page = as_owner.get(f"/lots/new?delivery={delivery_of(make_routing(blanks=True)).id}").text
    assert "No blanks are at hand" not in page
    assert "The rest is ordered under Material" in page


def test_a_start_that_was_chosen_says_so_and_does_not_blame_the_blanks(as_owner, session):
    routing = make_routing(operations=1, expected_yield="0.9")
    ReceiptFactory(revision=routing.revision, pieces=200)
    release(as_owner, delivery_of(routing), to_start="105")
    session.rollback()
    reason = session.scalars(sa.select(Lot.start_reason)).one()
    assert "; 105 are started, so the order is" in reason
    assert "at hand" not in reason


def test_releasing_starts_the_pieces_issues_blanks_and_leads_to_the_lot(as_owner, session):
    routing = make_routing(operations=2, blanks=True)
    receipt = ReceiptFactory(revision=routing.revision, pieces=60, heat="H7")
    delivery = delivery_of(routing)
    answer = release(as_owner, delivery)
    session.rollback()
    lot = session.scalars(sa.select(Lot)).one()
    assert (answer.status_code, answer.location) == (303, f"/lots/{lot.id}")
    assert whereabouts(lot) == {"5 waiting": 40, "10 waiting": 60}
    assert (lot.due_on, lot.needed, lot.deliveries[0].quantity) == (date(2026, 2, 6), 100, 100)
    assert "heat H7" in as_owner.get(answer.location).text
    session.refresh(receipt)
    assert receipt.issued == 60


def test_what_lots_make_already_is_not_offered_and_a_second_lot_for_it_is_warned_of(as_owner, session):
    lot = make_ordered_lot(session)
    done = lot.deliveries[0].delivery
    other = DeliveryFactory(line__revision=lot.revision, line__order__their_number="STILL-1")
    session.commit()
    page = as_owner.get(f"/lots/new?delivery={other.id}").text
    assert "STILL-1" in page
    assert done.line.order.their_number not in page
    again = as_owner.get(f"/lots/new?delivery={done.id}").text
    assert f"pieces for {done.line.order.their_number} are in lots already: this lot would make more" in again


def test_the_same_form_sent_twice_releases_once(as_owner, session):
    delivery = delivery_of(make_routing(blanks=True))
    first, second = release(as_owner, delivery), release(as_owner, delivery)
    session.rollback()
    assert first.location == second.location
    assert session.scalars(sa.select(sa.func.count(Lot.id))).one() == 1


def test_release_and_print_leads_to_the_traveler_and_notes_the_print(as_owner, session):
    answer = release(as_owner, delivery_of(make_routing(blanks=True)), then="print")
    session.rollback()
    assert answer.location.endswith("/traveler?now=1")
    assert session.scalars(sa.select(TravelerPrint.printed_by_id)).one() == as_owner.person.id


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"to_start": "0"}, "to_start-errors"),
        ({"to_start": "many"}, "Type a whole number"),
        ({"needed": ""}, "Type how many good pieces are needed"),
        ({"needed": "1,000,000"}, "More than 1,000,000 pieces would have to be started: check the quantity"),
        ({"needed": "1,000,000", "shares-0-chosen": "", "then": "again"}, "More than 1,000,000 pieces would have"),
        ({"shares-0-quantity": ""}, "Type how many pieces of this delivery the lot is for"),
    ],
)
def test_wrong_input_is_said_beside_the_field_and_nothing_is_released(as_owner, session, typed, sentence):
    answer = release(as_owner, delivery_of(make_routing(expected_yield="0.98")), **typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert session.scalars(sa.select(Lot)).all() == []


def test_a_part_without_a_routing_says_what_to_do_first(as_owner, session):
    page = as_owner.get(f"/lots/new?delivery={DeliveryFactory().id}").text
    assert "no routing yet" in page


def test_the_list_shows_open_lots_by_due_date_and_finds_by_part(as_operator, session):
    later, sooner = make_ordered_lot(session, due=date(2026, 3, 1)), make_ordered_lot(session, due=date(2026, 2, 1))
    page = as_operator.get("/lots").text
    assert page.index(f"/lots/{sooner.id}") < page.index(f"/lots/{later.id}")
    found = as_operator.get(f"/lots?q={later.revision.part.number}").text
    assert f'href="/lots/{sooner.id}"' not in found


def test_a_lots_page_tells_its_whole_ledger(as_owner, session):
    lot = make_ordered_lot(session)
    sign_off(session, act(person_id=as_owner.person.id), [SignOff(lot.operations[0].id, 50)])
    page = as_owner.get(f"/lots/{lot.id}").text
    assert "waiting at 10 → waiting at 20" in page
    assert as_owner.person.name in page


def test_holding_and_releasing_a_lot(as_inspector, session):
    lot = make_lot(session)
    url = f"/lots/{lot.id}"
    assert "Say why" in as_inspector.post(f"{url}/hold", data={"hold_form-key": "a", "hold_form-reason": ""}).text
    as_inspector.post(f"{url}/hold", data={"hold_form-key": "b", "hold_form-reason": "crack found"})
    assert "On hold: crack found" in as_inspector.get(url).text
    as_inspector.post(f"{url}/release", data={"key": "c"})
    assert "On hold" not in as_inspector.get(url).text


def test_setting_pieces_aside_refuses_more_than_there_are_beside_the_field(as_setup_lead, session):
    lot = make_lot(session)
    typed = {
        "aside_form-key": "a",
        "aside_form-operation_id": str(lot.operations[0].id),
        "aside_form-pieces": "51",
        "aside_form-reason": "burr",
        "aside_form-other_operation_id": "0",
        "what": "scrap",
    }
    answer = as_setup_lead.post(f"/lots/{lot.id}/aside", data=typed)
    assert answer.status_code == 422
    assert "51 pieces are more than can be there" in answer.text
    as_setup_lead.post(f"/lots/{lot.id}/aside", data={**typed, "aside_form-key": "b", "aside_form-pieces": "1"})
    session.rollback()
    assert whereabouts(lot) == {"10 waiting": 49, "10 scrapped": 1}


def test_splitting_and_undoing_from_the_page(as_owner, session):
    lot = make_lot(session)
    typed = {"split_form-key": "a", "split_form-operation_id": str(lot.operations[0].id), "split_form-pieces": "20"}
    answer = as_owner.post(f"/lots/{lot.id}/splits", data=typed)
    session.rollback()
    child = session.scalars(sa.select(Lot).where(Lot.parent_id == lot.id)).one()
    assert answer.location == f"/lots/{child.id}"
    posting = hold_lot(session, act(), lot.id, "oops")
    as_owner.post(f"/lots/{lot.id}/postings/{posting.id}/undo", data={"key": "b"})
    session.rollback()
    assert not lot.on_hold


def test_what_cannot_be_undone_is_said_on_the_page(as_owner, session):
    lot = make_lot(session)
    posting = sign_off(session, act(), [SignOff(lot.operations[0].id, 50)])
    sign_off(session, act(), [SignOff(lot.operations[1].id, 50)])
    answer = as_owner.post(f"/lots/{lot.id}/postings/{posting.id}/undo", data={"key": "a"})
    assert answer.status_code == 422
    assert "The pieces have moved on" in answer.text


def test_operators_look_but_do_not_release_or_split(as_operator, session):
    lot = make_lot(session)
    assert as_operator.get(f"/lots/{lot.id}").status_code == 200
    for url in ("/lots", f"/lots/{lot.id}/splits", f"/lots/{lot.id}/hold"):
        assert as_operator.post(url, data={}).status_code == 403


def test_the_traveler_has_everything_paper_needs(as_owner, session):
    lot = make_ordered_lot(session)
    page = as_owner.get(f"/lots/{lot.id}/traveler").text
    for wanted in (
        lot.revision.part.number,
        "Leaves by",
        "Fri 6 Feb 2026",
        "Initials",
        "Scrap",
        "Guards closed",
        "manual, local codes and qualified people",
        "set-up 30\u00a0min",
        "2\u00a0min a piece",
    ):
        assert wanted in page
    lot.operations[0].setup_seconds = 0
    session.commit()
    assert "set-up 0\u00a0s" not in as_owner.get(f"/lots/{lot.id}/traveler").text
    lot.operations[0].setup_seconds = 0
    session.commit()
    assert "set-up 0\u00a0s" not in as_owner.get(f"/lots/{lot.id}/traveler").text
    assert page.count("<svg") >= 2 * (1 + len(lot.operations))


def test_a_load_over_the_lift_limit_says_so(as_owner, session):
    lot = make_ordered_lot(session)
    assert "over the shop's lift limit" in as_owner.get(f"/lots/{lot.id}/traveler").text


@pytest.mark.parametrize("path", ["999", "999/traveler", "new?delivery=999", "new?revision=999"])
def test_what_does_not_exist_is_said_plainly(as_owner, session, path):
    answer = as_owner.get(f"/lots/{path}")
    assert answer.status_code == 404
    assert "Traceback" not in answer.text
