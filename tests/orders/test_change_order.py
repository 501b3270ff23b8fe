"""Changing a kept order: its head, its lines and its deliveries."""

import html
import itertools
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.orders import services
from app.orders.errors import DeliveryInUseError, ShippedCountError
from app.orders.models import Delivery, OrderLine
from app.people.models import Person
from app.shared.database import change_number
from tests.factories.lots import make_ordered_lot
from tests.factories.orders import CustomerOrderFactory, DeliveryFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory

KEYS = itertools.count(1)
LATER = datetime(2026, 1, 8, 12, tzinfo=UTC)


@pytest.fixture
def delivery(session):
    """A delivery of 50 pieces due on 6 February, promised for then, of an order received on 5 January."""
    ShopFactory()
    return DeliveryFactory(line__order__their_number="BW-1")


def afresh(session, row):
    session.rollback()
    session.refresh(row)
    return row


def agree(browser, delivery, **sent):
    """Send the form of what is agreed, as a person fills it in."""
    kept = {
        "quantity": "50",
        "due": "2026-02-06",
        "revision_id": str(delivery.line.revision_id),
        "agreed_with": "Ms Ito",
    }
    return browser.post(f"/orders/deliveries/{delivery.id}", data=kept | sent)


def talk(**facts):
    return services.Talk(**{"key": f"talk-{next(KEYS)}", "now": LATER} | facts)


def said(answer):
    return html.unescape(answer.text)


def test_the_head_of_an_order_is_changed(delivery, as_owner, session):
    order = delivery.line.order
    sent = {"their_number": "BW-1 A", "received_on": "2026-01-06", "note": "Call first"}
    assert as_owner.post(f"/orders/{order.id}", data=sent).status_code == 303
    afresh(session, order)
    assert (order.their_number, order.received_on, order.note) == ("BW-1 A", date(2026, 1, 6), "Call first")


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"their_number": ""}, "Enter the customer's order number."),
        ({"their_number": "bw-2"}, "already has an order BW-2, received Mon 5 Jan 2026."),
        ({"received_on": "2026-01-08"}, "It cannot have been received after today"),
        ({"received_on": "x"}, "Enter a date as year-month-day"),
        ({"note": "x" * 2001}, "Use 2,000 characters or fewer."),
    ],
)
def test_a_wrong_head_is_refused_beside_the_field(delivery, as_owner, session, sent, told):
    order = delivery.line.order
    CustomerOrderFactory(customer=order.customer, their_number="BW-2")
    answer = as_owner.post(f"/orders/{order.id}", data={"their_number": "BW-9", "received_on": "2026-01-06"} | sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert afresh(session, order).their_number == "BW-1"


def test_an_order_is_not_received_after_its_first_due_date(delivery, as_owner, session, clock):
    clock.now = datetime(2026, 3, 1, 12, tzinfo=UTC)
    sent = {"their_number": "BW-1", "received_on": "2026-02-07"}
    answer = as_owner.post(f"/orders/{delivery.line.order_id}", data=sent)
    assert "A delivery of this order is due Fri 6 Feb 2026: it cannot have been received later." in said(answer)


def test_a_later_due_date_keeps_the_first_promise(delivery, as_owner, session):
    assert agree(as_owner, delivery, quantity="40", due="2026-02-20").status_code == 303
    afresh(session, delivery)
    assert (delivery.quantity, delivery.due, delivery.first_due) == (40, date(2026, 2, 20), date(2026, 2, 6))
    page = as_owner.get(f"/orders/{delivery.line.order_id}").text
    assert "first promised Fri 6 Feb" in page


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"quantity": "19"}, "20 pieces have been shipped already: enter that many or more."),
        ({"quantity": "0"}, "It must be 1 or more."),
        ({"due": "2026-01-04"}, "It cannot be due before the order was received, Mon 5 Jan 2026."),
        ({"due": "2031-01-08"}, "Wed 8 Jan 2031 is more than five years ahead."),
        ({"due": ""}, "Enter the due date."),
        ({"quantity": "60", "agreed_with": " "}, "Say who agreed; it stays on record."),
        ({}, "That is what is agreed already. Change the quantity, the date or the revision."),
    ],
)
def test_a_wrong_delivery_is_refused_beside_the_field(delivery, as_owner, session, sent, told):
    services.add_shipped(session, delivery.id, 20, LATER)
    answer = agree(as_owner, delivery, **sent)
    assert answer.status_code == 422
    assert told in said(answer)
    afresh(session, delivery)
    assert (delivery.quantity, delivery.due) == (50, date(2026, 2, 6))


def test_a_far_date_of_a_delivery_can_be_confirmed(delivery, as_owner, session):
    assert 'name="far_dates_meant"' in agree(as_owner, delivery, due="2031-01-08").text
    assert agree(as_owner, delivery, due="2031-01-08", far_dates_meant="y").status_code == 303
    assert afresh(session, delivery).due == date(2031, 1, 8)


def test_a_delivery_closes_when_its_quantity_is_lowered_to_what_was_shipped_and_opens_when_raised(
    delivery, as_owner, session, now
):
    services.add_shipped(session, delivery.id, 20, LATER)
    agree(as_owner, delivery, quantity="20")
    assert afresh(session, delivery).closed_at == now
    agree(as_owner, delivery, quantity="21")
    assert afresh(session, delivery).closed_at is None


def test_a_delivery_closed_short_is_opened_again_before_it_is_changed(delivery, as_owner, session):
    services.add_shipped(session, delivery.id, 20, LATER)
    assert (
        as_owner.post(f"/orders/deliveries/{delivery.id}/close", data={"short-agreed_with": "Mr Osei"}).status_code
        == 303
    )
    assert "Closed 30 short" in as_owner.get(f"/orders/{delivery.line.order_id}").text
    answer = agree(as_owner, delivery, due="2026-03-06")
    assert "This delivery was closed with 20 of 50 shipped. Open it again before changing it." in said(answer)
    assert as_owner.post(f"/orders/deliveries/{delivery.id}/reopen").status_code == 303
    assert afresh(session, delivery).closed_at is None


def test_a_filled_delivery_is_not_opened_again_as_it_is(delivery, as_owner, session):
    services.add_shipped(session, delivery.id, 52, LATER)
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}/reopen")
    assert answer.status_code == 422
    assert "All of it was shipped (52 pieces). Raise its quantity to send more." in said(answer)
    assert "Filled, 2 over" in answer.text


def test_shipping_fills_and_taking_back_opens(delivery, session):
    services.add_shipped(session, delivery.id, 30, LATER)
    assert delivery.closed_at is None
    services.add_shipped(session, delivery.id, 20, LATER)
    assert delivery.closed_at == LATER
    services.add_shipped(session, delivery.id, -1, LATER)
    assert (delivery.shipped, delivery.closed_at) == (49, None)
    with pytest.raises(ShippedCountError, match="Only 49 pieces of this delivery were shipped"):
        services.add_shipped(session, delivery.id, -50, LATER)


def test_a_delivery_is_added_and_removed(delivery, as_owner, session):
    line = delivery.line
    added = as_owner.post(f"/orders/lines/{line.id}/deliveries", data={"quantity": "9", "due": "2026-03-06"})
    assert added.location == f"/orders/{line.order_id}"
    session.rollback()
    newest = session.scalars(sa.select(Delivery).order_by(Delivery.id.desc())).first()
    assert (newest.quantity, newest.due, newest.first_due) == (9, date(2026, 3, 6), date(2026, 3, 6))
    assert as_owner.post(f"/orders/deliveries/{newest.id}/remove").status_code == 303
    session.rollback()
    assert session.scalars(sa.select(Delivery)).all() == [delivery]


def test_the_last_delivery_of_a_line_and_the_last_line_stay(delivery, as_owner, session):
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}/remove")
    assert answer.status_code == 422
    assert "It is the last one: an order keeps at least one line and each line one delivery." in said(answer)
    assert as_owner.post(f"/orders/lines/{delivery.line_id}/remove").status_code == 422
    session.rollback()
    assert session.scalars(sa.select(Delivery)).all() == [delivery]


def test_what_was_shipped_or_is_served_by_a_lot_is_not_removed(delivery, as_owner, session):
    second = DeliveryFactory(line=delivery.line)
    served = make_ordered_lot(session, order=delivery.line.order, number=2).deliveries[0].delivery
    services.add_shipped(session, second.id, 1, LATER)
    told = "A lot serves this delivery, or pieces of it have been shipped: it stays on record. Close it instead."
    assert told in said(as_owner.post(f"/orders/deliveries/{second.id}/remove"))
    assert told in said(as_owner.post(f"/orders/lines/{served.line_id}/remove"))
    with pytest.raises(DeliveryInUseError):
        services.remove_line(session, delivery.line_id)
    session.rollback()
    assert len(session.scalars(sa.select(Delivery)).all()) == 3


def test_a_line_is_added_with_the_next_number(delivery, as_owner, session):
    RevisionFactory(part__number="HB-777")
    sent = {
        "lines-0-part": "HB-777",
        "lines-0-price": "2",
        "lines-0-rush": "y",
        "lines-0-deliveries-0-quantity": "5",
        "lines-0-deliveries-0-due": "2026-02-06",
    }
    order = delivery.line.order
    assert as_owner.post(f"/orders/{order.id}/lines", data=sent).status_code == 303
    session.rollback()
    newest = session.scalars(sa.select(OrderLine).order_by(OrderLine.id.desc())).first()
    assert (newest.order_id, newest.number, newest.price) == (order.id, 2, Decimal(2))
    assert newest.rush_by_id == as_owner.person.id
    more = as_owner.post(f"/orders/{order.id}/lines/new/rows", data=sent | {"add_delivery": "0"}).text
    assert 'name="lines-0-deliveries-1-quantity"' in more


def test_a_wrong_line_is_refused_beside_the_field(delivery, as_owner, session):
    sent = {
        "lines-0-part": "HB-778",
        "lines-0-deliveries-0-quantity": "5",
        "lines-0-deliveries-0-due": "2026-01-04",
    }
    answer = as_owner.post(f"/orders/{delivery.line.order_id}/lines", data=sent)
    assert answer.status_code == 422
    assert "There is no part HB-778." in said(answer)
    assert "It cannot be due before the order was received, Mon 5 Jan 2026." in said(answer)
    assert session.scalars(sa.select(sa.func.count(OrderLine.id))).one() == 1


def test_a_line_becomes_a_rush_with_who_said_so_and_stops_being_one(delivery, as_owner, session):
    line = delivery.line
    as_owner.post(f"/orders/lines/{line.id}", data={"price": "3.5", "rush": "y"})
    afresh(session, line)
    assert (line.price, line.rush) == (Decimal("3.5"), True)
    name = session.get(Person, line.rush_by_id).name
    assert f"Rush, said {name}" in as_owner.get(f"/orders/{line.order_id}").text
    as_owner.post(f"/orders/lines/{line.id}", data={"price": "3.5"})
    afresh(session, line)
    assert (line.rush, line.rush_by_id) == (False, None)


def test_a_wrong_price_of_a_line_is_refused(delivery, as_owner):
    answer = as_owner.post(f"/orders/lines/{delivery.line_id}", data={"price": "0.00001"})
    assert answer.status_code == 422
    assert "Type at most 4 digits after the point." in said(answer)


def test_planning_hears_of_every_change_it_reads(delivery, session):
    before = change_number(session)
    services.close_delivery(session, delivery.id, talk())
    assert change_number(session) == before + 1
    services.close_delivery(session, delivery.id, talk())
    assert change_number(session) == before + 1


def test_what_follows_deliveries_runs_in_the_same_transaction_and_can_undo_it(delivery, session, monkeypatch):
    heard = []

    def refuse(session, ids):
        heard.append((ids, session.get(Delivery, delivery.id).quantity))
        raise DeliveryInUseError

    monkeypatch.setattr("app.orders.services.following._followers", [])
    services.follow_deliveries(refuse)
    services.follow_deliveries(refuse)
    with pytest.raises(DeliveryInUseError):
        services.change_delivery(session, delivery.id, services.Terms(70, date(2026, 2, 6)), talk())
    assert heard == [({delivery.id}, 70)]
    assert afresh(session, delivery).quantity == 50


@pytest.mark.parametrize("who", ["as_setup_lead", "as_operator", "as_inspector"])
def test_only_an_owner_changes_orders(delivery, request, session, who):
    browser = request.getfixturevalue(who)
    line = delivery.line
    assert browser.get(f"/orders/{line.order_id}").status_code == 200
    for path in (
        f"/orders/{line.order_id}",
        f"/orders/{line.order_id}/lines",
        f"/orders/{line.order_id}/lines/new/rows",
        f"/orders/lines/{line.id}",
        f"/orders/lines/{line.id}/remove",
        f"/orders/lines/{line.id}/deliveries",
        f"/orders/deliveries/{delivery.id}",
        f"/orders/deliveries/{delivery.id}/cancel",
        f"/orders/deliveries/{delivery.id}/close",
        f"/orders/deliveries/{delivery.id}/reopen",
        f"/orders/deliveries/{delivery.id}/remove",
    ):
        assert browser.post(path, data={}).status_code == 403
    assert "a piece" not in browser.get(f"/orders/{line.order_id}").text


@pytest.mark.parametrize(
    "path",
    [
        "/orders/999",
        "/orders/999/edit",
        "/orders/999/lines/new",
        "/orders/lines/999/edit",
        "/orders/lines/999/deliveries/new",
        "/orders/deliveries/999",
    ],
)
def test_what_is_not_there_is_said_to_be_missing(as_owner, session, path):
    ShopFactory()
    answer = as_owner.get(path)
    assert answer.status_code == 404
    assert "There is no such order." in answer.text
