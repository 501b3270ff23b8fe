"""Issuing what came in to the lots that wait for it: quickly, in parts, and once."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.errors import KeyReusedError, NotTheBlankError, TooManyPiecesError
from app.lots.models import Posting, Verb
from app.lots.services import SignOff, issue_blanks, sign_off
from app.material.models import Issue, Receipt
from app.material.queries import issued_to_lot
from app.purchasing.queries import issue_proposals
from app.purchasing.services import Share, issue_receipt
from app.shared.errors import RefusedError
from tests.factories.lots import act, make_lot, make_routing, whereabouts
from tests.factories.parts import PartFactory
from tests.factories.purchasing import make_blank, make_blank_order, make_receipt, make_waiting_lot
from tests.statements import counted


@pytest.fixture
def lots(session, blank):
    """Return two lots that wait for 30 blanks each; the second is due first."""
    return [
        make_waiting_lot(session, blank, due=date(2026, 3, 6)),
        make_waiting_lot(session, blank, due=date(2026, 2, 6)),
    ]


def proposed(session, receipt):
    return [
        (each.lot.id, each.wanted, each.bought_for, each.pieces) for each in issue_proposals(session, receipt.id).lots
    ]


def refusals(session, receipt, *shares):
    with pytest.raises(RefusedError) as caught:
        issue_receipt(session, act(), receipt.id, shares)
    session.rollback()
    assert session.scalars(sa.select(Issue)).all() == []
    return {problem.place: str(problem.error) for problem in caught.value.problems}


def test_the_lot_it_was_bought_for_is_proposed_before_the_one_due_first(session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 30))
    receipt = make_receipt(session, order, 36)
    assert proposed(session, receipt) == [(lots[0].id, 30, 30, 30), (lots[1].id, 30, 0, 6)]


def test_what_was_bought_for_nobody_goes_to_the_lot_due_first(session, blank, lots):
    receipt = make_receipt(session, None, 40, revision=blank)
    assert proposed(session, receipt) == [(lots[1].id, 30, 0, 30), (lots[0].id, 30, 0, 10)]


def test_a_lot_that_got_its_share_of_a_purchase_waits_behind_those_that_did_not(session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 9), (lots[1], 9))
    issue_receipt(session, act(), make_receipt(session, order, 9).id, [Share(lots[1].id, 9)])
    receipt = make_receipt(session, order, 9)
    assert proposed(session, receipt) == [(lots[0].id, 30, 9, 9), (lots[1].id, 21, 0, 0)]


def test_a_lot_without_a_blank_ordering_operation_can_get_its_heat(session):
    routing = make_routing()
    lot = make_lot(session, pieces=20, routing=routing)
    receipt = make_receipt(session, None, 30, revision=routing.revision)
    assert proposed(session, receipt) == [(lot.id, 20, 0, 20)]
    issue_receipt(session, act(), receipt.id, [Share(lot.id, 20)])
    assert whereabouts(lot) == {"10 waiting": 20}
    assert [held.receipt.heat for held in issued_to_lot(session, lot.id)] == [receipt.heat]
    assert proposed(session, receipt) == []


def test_one_receipt_serves_two_lots_and_a_partial_one_lets_that_many_begin(session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 30), (lots[1], 30))
    receipt = make_receipt(session, order, 27)
    issue_receipt(session, act(), receipt.id, [Share(lots[0].id, 7), Share(lots[1].id, 20)])
    assert [whereabouts(lot) for lot in lots] == [
        {"5 waiting": 23, "10 waiting": 7},
        {"5 waiting": 10, "10 waiting": 20},
    ]
    assert receipt.at_hand == 0


def test_one_lot_may_hold_two_heats(session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 30))
    for heat, pieces in (("A1", 18), ("B2", 12)):
        issue_receipt(session, act(), make_receipt(session, order, pieces, heat=heat).id, [Share(lots[0].id, pieces)])
    held = issued_to_lot(session, lots[0].id)
    assert [(each.receipt.heat, each.pieces) for each in held] == [("A1", 18), ("B2", 12)]
    assert whereabouts(lots[0]) == {"10 waiting": 30}


def test_the_same_form_twice_issues_once_and_with_other_content_is_refused(session, blank, lots):
    receipt = make_receipt(session, None, 30, revision=blank)
    circumstances = act()
    first = issue_receipt(session, circumstances, receipt.id, [Share(lots[0].id, 30)])
    again = issue_receipt(session, circumstances, receipt.id, [Share(lots[0].id, 30)])
    assert [each.id for each in first] == [each.id for each in again]
    with pytest.raises(KeyReusedError):
        issue_receipt(session, circumstances, receipt.id, [Share(lots[0].id, 29)])
    session.rollback()
    assert receipt.issued == 30


def test_nothing_more_than_at_hand_and_more_than_wanted_are_refused(session, blank, lots):
    receipt = make_receipt(session, None, 40, revision=blank)
    assert refusals(session, receipt, Share(lots[0].id, 0)) == {
        "shares": "Enter how many pieces go to at least one lot."
    }
    assert refusals(session, receipt, Share(lots[0].id, 30), Share(lots[1].id, 11)) == {
        "shares": "That is 41 pieces together and 40 are at hand. Enter fewer."
    }
    said = refusals(session, receipt, Share(lots[1].id, 5), Share(lots[0].id, 31))
    assert list(said) == ["shares-1-pieces"]
    assert said["shares-1-pieces"].endswith("waits for 30 pieces. Enter 30 or fewer.")


def test_one_refused_lot_keeps_all_from_being_issued(session, blank, lots):
    receipt = make_receipt(session, None, 40, revision=blank)
    finished = make_lot(session, routing=make_routing())
    for operation in finished.operations:
        sign_off(session, act(), [SignOff(operation.id, 50)])
    with pytest.raises((NotTheBlankError, TooManyPiecesError)):
        issue_receipt(session, act(), receipt.id, [Share(lots[0].id, 10), Share(finished.id, 10)])
    session.rollback()
    assert session.scalars(sa.select(Posting).where(Posting.verb == Verb.ISSUE_BLANKS)).all() == []
    assert receipt.issued == 0


def test_another_blank_than_the_lots_is_refused(session, lots):
    other = make_receipt(session, None, 30, revision=make_blank())
    with pytest.raises(NotTheBlankError, match="it is not the blank of lot L"):
        issue_blanks(session, act(), lots[0].id, other.id, 5)


def test_a_component_is_issued_to_no_lot_here(as_setup_lead, session):
    receipt = make_receipt(session, None, 5, part_id=PartFactory().id)
    page = as_setup_lead.get(f"/purchasing/receipts/{receipt.id}/issues")
    assert "This is a component: it stays at hand" in page.text


def test_blanks_that_no_lot_waits_for_stay_at_hand(as_setup_lead, session, blank):
    receipt = make_receipt(session, None, 5, revision=blank)
    page = as_setup_lead.get(f"/purchasing/receipts/{receipt.id}/issues")
    assert "No open lot waits for this: it stays at hand until one is released." in page.text


def test_a_partial_delivery_of_plates_goes_to_two_lots_in_two_forms(as_setup_lead, session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 30), (lots[1], 30))
    line_id = order.lines[0].id
    assert f"/material-orders/lines/{line_id}/receipts/new" in as_setup_lead.get("/purchasing").text
    came = as_setup_lead.post(
        f"/material-orders/lines/{line_id}/receipts",
        data={"pieces": "36", "heat": "H77", "received_on": "2026-01-07"},
    )
    assert came.status_code == 303
    page = as_setup_lead.get(came.location).text
    session.rollback()
    receipt = session.scalars(sa.select(Receipt)).one()
    key = page.split('name="key" type="hidden" value="')[1].split('"')[0]
    sent = {"key": key}
    for at, each in enumerate(issue_proposals(session, receipt.id).lots):
        assert f'name="shares-{at}-pieces" type="number" value="{each.pieces}"' in page
        sent |= {f"shares-{at}-lot_id": str(each.lot.id), f"shares-{at}-pieces": str(each.pieces)}
    issued = as_setup_lead.post(came.location, data=sent)
    assert (issued.status_code, issued.location) == (303, "/purchasing")
    assert "36 blanks issued: they may begin." in as_setup_lead.get("/purchasing").text
    session.rollback()
    assert whereabouts(lots[1]) == {"10 waiting": 30}
    assert whereabouts(lots[0]) == {"5 waiting": 24, "10 waiting": 6}
    posting = session.scalars(sa.select(Posting).where(Posting.verb == Verb.ISSUE_BLANKS)).first()
    assert posting.person_id == as_setup_lead.person.id


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        ("41", "That is 41 pieces together and 40 are at hand."),
        ("31", "waits for 30 pieces. Enter 30 or fewer."),
        ("", "Enter how many pieces go to at least one lot."),
        ("some", "Type a whole number, such as 12"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_issued(
    as_setup_lead, session, blank, lots, pieces, said
):
    receipt = make_receipt(session, None, 40, revision=blank)
    sent = {"key": "k", "shares-0-lot_id": str(lots[0].id), "shares-0-pieces": pieces}
    answer = as_setup_lead.post(f"/purchasing/receipts/{receipt.id}/issues", data=sent)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{pieces}"' in answer.text
    session.rollback()
    assert receipt.issued == 0


def test_a_receipt_that_is_issued_says_so(as_setup_lead, session, blank, lots):
    receipt = make_receipt(session, None, 30, revision=blank)
    issue_receipt(session, act(), receipt.id, [Share(lots[0].id, 30)])
    assert "All of this receipt is issued." in as_setup_lead.get(f"/purchasing/receipts/{receipt.id}/issues").text
    assert as_setup_lead.get("/purchasing/receipts/9999/issues").status_code == 404


def test_an_operator_issues_nothing(as_operator, session, blank):
    receipt = make_receipt(session, None, 30, revision=blank)
    assert as_operator.get(f"/purchasing/receipts/{receipt.id}/issues").status_code == 403
    assert as_operator.post(f"/purchasing/receipts/{receipt.id}/issues", data={}).status_code == 403


@pytest.mark.parametrize("more", [0, 5])
def test_proposals_take_a_fixed_number_of_statements(session, engine, blank, more):
    for _ in range(1 + more):
        make_waiting_lot(session, blank)
    receipt_id = make_receipt(session, make_blank_order(session, blank, units=9), 60).id
    session.rollback()
    with counted(engine) as sent:
        assert len(issue_proposals(session, receipt_id).lots) == 1 + more
    assert len(sent) <= 7
