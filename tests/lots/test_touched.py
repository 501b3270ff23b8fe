"""The lots that a delivery touches when the customer changes their mind, and what becomes of them."""

import html
from datetime import date

import pytest

from app.lots.errors import NotFreeError, ReasonMissingError, TooManyPiecesError
from app.lots.queries import coming_short, cover_of_delivery, free_stock
from app.lots.queries.verify import differences
from app.lots.services import Share, SignOff, begin, free_again, issue_blanks, scrap_left, sign_off, undo
from app.orders.services import Talk, Terms, cancel_delivery, change_delivery
from tests.factories.lots import MORNING, act, make_lot, make_ordered_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory

DUE = date(2026, 2, 6)


@pytest.fixture(autouse=True)
def shop(session):
    yield ShopFactory()
    session.rollback()
    assert list(differences(session)) == []


@pytest.fixture
def lot(session):
    """A lot of 50 for one delivery; 20 pieces wait at the second operation, 30 are in work at the first."""
    lot = make_ordered_lot(session)
    sign_off(session, act(), [SignOff(lot.operations[0].id, 20)])
    first = lot.operations[0]
    begin(session, act(station_id=station_of(first).id), [first.id])
    session.commit()
    return lot


def cancelled(session, lot):
    delivery = lot.deliveries[0].delivery
    return cancel_delivery(session, delivery.id, Talk("cancel", MORNING, note="no demand"))


def settle(browser, lot, what, **typed):
    delivery_id = lot.deliveries[0].delivery_id
    sent = {f"lot-{lot.id}-{name}": value for name, value in typed.items()}
    return browser.post(f"/orders/deliveries/{delivery_id}/touched/{lot.id}", data={"what": what} | sent)


def said(answer):
    return html.unescape(answer.text)


def test_the_page_says_where_the_pieces_are_and_offers_what_can_be_done(lot, as_setup_lead, session):
    cancelled(session, lot)
    answer = as_setup_lead.get(f"/orders/deliveries/{lot.deliveries[0].delivery_id}/touched")
    page = said(answer)
    assert "30 in work at 10 · 20 wait at 20" in page
    assert "50 pieces that nobody waits for" in page
    for offer in ("Finish for stock", "Stop: whole lot on hold", "Scrap the rest", "Split or change the lot"):
        assert offer in page
    assert f'href="/schedule/lots/{lot.id}"' in page


def test_whoever_is_not_of_the_office_sees_it_without_offers(lot, as_operator):
    address = f"/orders/deliveries/{lot.deliveries[0].delivery_id}/touched"
    assert "<form" not in as_operator.get(address).text.split("<main")[1]
    assert settle(as_operator, lot, "stop").status_code == 403


def test_it_is_a_fragment_for_the_delivery_s_page(lot, as_owner):
    headers = {"HX-Request": "true", "HX-Request-Type": "partial"}
    part = as_owner.get(f"/orders/deliveries/{lot.deliveries[0].delivery_id}/touched", headers=headers).text
    assert "<html" not in part
    assert 'id="touched"' in part


def test_stopping_holds_the_lot_with_the_reason(lot, as_setup_lead, session):
    cancelled(session, lot)
    answer = settle(as_setup_lead, lot, "stop")
    assert answer.location.startswith(f"/orders/deliveries/{lot.deliveries[0].delivery_id}")
    session.rollback()
    session.refresh(lot)
    assert lot.hold_reason == "customer cancelled"
    again = settle(as_setup_lead, lot, "stop", key="again")
    assert again.status_code == 422
    assert "on hold" in said(again)


def test_finishing_for_stock_frees_the_pieces_and_the_due_date(lot, as_setup_lead, session):
    settle(as_setup_lead, lot, "stock")
    session.rollback()
    session.refresh(lot)
    assert (lot.deliveries, lot.due_on) == ([], None)


def test_only_what_the_customer_no_longer_wants_goes_to_stock(lot, as_setup_lead, session):
    share = lot.deliveries[0]
    change_delivery(session, share.delivery_id, Terms(35, DUE), Talk("fewer", MORNING))
    page = said(as_setup_lead.get(f"/orders/deliveries/{share.delivery_id}/touched"))
    assert "15 pieces more than wanted" in page
    assert 'value="15"' in page
    settle(as_setup_lead, lot, "stock", pieces="15")
    session.rollback()
    session.refresh(share)
    assert share.quantity == 35
    assert cover_of_delivery(session, share.delivery_id).surplus == 0


def test_more_than_is_meant_is_refused_beside_the_field_and_kept_as_typed(lot, as_setup_lead, session):
    answer = settle(as_setup_lead, lot, "stock", pieces="51")
    assert answer.status_code == 422
    assert "51" in said(answer)
    assert 'aria-invalid="true"' in answer.text
    session.rollback()
    session.refresh(lot.deliveries[0])
    assert lot.deliveries[0].quantity == 50
    with pytest.raises(TooManyPiecesError):
        free_again(session, act(), lot.id, lot.deliveries[0].delivery_id, 0)


def test_scrapping_the_rest_takes_the_pieces_wherever_they_are_and_can_be_undone(lot, as_setup_lead, session):
    cancelled(session, lot)
    settle(as_setup_lead, lot, "scrap", reason="no other customer")
    session.rollback()
    session.refresh(lot)
    assert whereabouts(lot) == {"10 scrapped": 30, "20 scrapped": 20}
    assert lot.closed_at is not None


def test_an_undone_scrap_brings_the_pieces_back(lot, session):
    cancelled(session, lot)
    before = whereabouts(lot)
    posting = scrap_left(session, act(), lot.id, 50, "no other customer")
    undo(session, act(), posting.id)
    assert whereabouts(lot) == before


def test_finished_pieces_are_scrapped_last(session):
    lot = make_lot(session, pieces=10)
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, 4)])
    scrap_left(session, act(), lot.id, 8, "no demand")
    assert whereabouts(lot) == {"10 scrapped": 6, "30 scrapped": 2, "in_stock": 2}


def test_pieces_that_others_are_to_get_are_not_scrapped_with_them(session):
    routing = make_routing()
    line = OrderLineFactory(revision=routing.revision)
    gone, stays = DeliveryFactory(line=line, quantity=30), DeliveryFactory(line=line, quantity=20)
    lot = make_lot(session, pieces=50, routing=routing, shares=(Share(gone.id, 30), Share(stays.id, 20)))
    with pytest.raises(NotFreeError, match="30 pieces"):
        scrap_left(session, act(), lot.id, 31, "no demand", given_up=gone.id)
    session.rollback()
    with pytest.raises(ReasonMissingError):
        scrap_left(session, act(), lot.id, 30, " ", given_up=gone.id)
    session.rollback()
    scrap_left(session, act(), lot.id, 30, "no demand", given_up=gone.id)
    assert whereabouts(lot) == {"10 waiting": 20, "10 scrapped": 30}


def test_fewer_are_started_where_blanks_are_not_issued(session, as_setup_lead):
    routing = make_routing(blanks=True)
    delivery = DeliveryFactory(line=OrderLineFactory(revision=routing.revision), quantity=50)
    lot = make_lot(session, pieces=50, routing=routing, shares=(Share(delivery.id, 50),))
    receipt = ReceiptFactory(revision=routing.revision, pieces=30)
    issue_blanks(session, act(), lot.id, receipt.id, 30)
    session.commit()
    assert "Start fewer: 20 have no blanks yet" in said(as_setup_lead.get(f"/orders/deliveries/{delivery.id}/touched"))
    assert settle(as_setup_lead, lot, "fewer", pieces="21").status_code == 422
    settle(as_setup_lead, lot, "fewer", pieces="15")
    session.rollback()
    session.refresh(lot)
    assert lot.started == 35


def test_more_than_the_lots_have_leads_to_a_make_up_lot(lot, as_setup_lead, session):
    delivery_id = lot.deliveries[0].delivery_id
    change_delivery(session, delivery_id, Terms(62, DUE), Talk("more", MORNING))
    page = said(as_setup_lead.get(f"/orders/deliveries/{delivery_id}/touched"))
    assert "Release a make-up lot for 12" in page
    assert f'href="/lots/new?delivery={delivery_id}"' in page


def test_a_lot_keeps_its_revision_and_no_longer_serves_a_delivery_that_moved_on(lot, as_setup_lead, session):
    delivery = lot.deliveries[0].delivery
    newer = RevisionFactory(part=lot.revision.part, label="B", current=False)
    change_delivery(session, delivery.id, Terms(50, DUE, newer.id), Talk("newer", MORNING))
    session.rollback()
    session.refresh(lot)
    assert (lot.revision.label, lot.due_on) == ("A", None)
    assert [(each.delivery.id, each.missing) for each in coming_short(session)] == [(delivery.id, 50)]
    cover = cover_of_delivery(session, delivery.id)
    assert (cover.pieces, cover.missing, cover.serving[0].missing) == (0, 50, 50)
    page = said(as_setup_lead.get(f"/orders/deliveries/{delivery.id}/touched"))
    assert "Of another revision" in page
    assert "Release a make-up lot for 50" in page


def test_finished_pieces_of_the_old_revision_are_free_for_others(session):
    lot = make_ordered_lot(session, pieces=10)
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, 10)])
    newer = RevisionFactory(part=lot.revision.part, label="B", current=False)
    assert free_stock(session, [lot.revision_id]) == {}
    delivery_id = lot.deliveries[0].delivery_id
    change_delivery(session, delivery_id, Terms(10, DUE, newer.id), Talk("newer", MORNING))
    assert free_stock(session, [lot.revision_id])[lot.revision_id][0].pieces == 10


def test_a_delivery_that_is_not_there_is_said_to_be_missing(as_owner):
    assert as_owner.get("/orders/deliveries/999/touched").status_code == 404
