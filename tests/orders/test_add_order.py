"""Taking an order: what is kept, what is refused and with which words."""

import html
import re
from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.orders.models import Customer, CustomerOrder
from app.people.models import Person
from tests.factories.orders import CustomerFactory, CustomerOrderFactory
from tests.factories.parts import PartFactory, RevisionFactory, RoutingFactory
from tests.factories.stations import ShopFactory
from tests.orders.typed import order_form


@pytest.fixture
def shop(session):
    """A shop with one customer and one part that has a routing."""
    ShopFactory()
    CustomerFactory(name="Brightwater Pumps")
    revision = RevisionFactory(part__number="HB-100", label="B")
    RoutingFactory(revision=revision)
    return revision


def kept_orders(session):
    session.rollback()
    return session.scalars(sa.select(CustomerOrder).order_by(CustomerOrder.id)).all()


def test_an_order_is_kept_with_the_current_revision_and_its_first_promise(shop, as_owner, session):
    answer = as_owner.post("/orders", data=order_form())
    (order,) = kept_orders(session)
    assert answer.status_code == 303
    assert answer.location == f"/orders/{order.id}"
    (line,) = order.lines
    (delivery,) = line.deliveries
    assert (order.customer.name, order.their_number, order.received_on) == (
        "Brightwater Pumps",
        "BW-1",
        date(2026, 1, 7),
    )
    assert (line.number, line.revision_id, line.price, line.rush) == (1, shop.id, Decimal("12.50"), False)
    assert (delivery.quantity, delivery.due, delivery.first_due) == (50, date(2026, 2, 6), date(2026, 2, 6))
    assert (delivery.shipped, delivery.closed_at) == (0, None)


def test_save_and_release_leads_to_the_release_of_the_first_delivery(shop, as_owner, session):
    second = {"deliveries-1-quantity": "60", "deliveries-1-due": "2026-01-20"}
    answer = as_owner.post("/orders", data=order_form(second, then="release"))
    (order,) = kept_orders(session)
    soonest = min(order.lines[0].deliveries, key=lambda delivery: delivery.due)
    assert answer.location == f"/lots/new?delivery={soonest.id}"


def test_several_lines_and_deliveries_are_kept_in_order_two_on_the_same_day_included(shop, as_owner, session):
    RevisionFactory(part__number="HB-200")
    more = {"deliveries-1-quantity": "30", "deliveries-1-due": "2026-02-06"}
    second = {"lines-1-part": "hb-200", "lines-1-deliveries-0-quantity": "5", "lines-1-deliveries-0-due": "2026-03-01"}
    assert as_owner.post("/orders", data=order_form(more, **second)).status_code == 303
    (order,) = kept_orders(session)
    assert [(line.number, line.revision.part.number) for line in order.lines] == [(1, "HB-100"), (2, "HB-200")]
    assert [delivery.quantity for delivery in order.lines[0].deliveries] == [50, 30]


def test_another_revision_than_the_current_one_can_be_chosen(shop, as_owner, session):
    old = RevisionFactory(part=shop.part, label="A", current=False)
    assert as_owner.post("/orders", data=order_form({"revision": "A"})).status_code == 303
    assert kept_orders(session)[0].lines[0].revision_id == old.id


def test_a_rush_is_kept_with_who_said_so(shop, as_owner, session):
    as_owner.post("/orders", data=order_form({"rush": "y"}))
    line = kept_orders(session)[0].lines[0]
    assert line.rush
    assert session.get(Person, line.rush_by_id).name == as_owner.person.name


def test_a_new_customer_is_added_when_said_to_be_new(shop, as_owner, session):
    answer = as_owner.post("/orders", data=order_form(customer="Nord Valves", new_customer="y"))
    assert answer.status_code == 303
    assert kept_orders(session)[0].customer.name == "Nord Valves"


def test_a_customer_is_found_whatever_the_capitals_even_when_said_to_be_new(shop, as_owner, session):
    answer = as_owner.post("/orders", data=order_form(customer="BRIGHTWATER pumps", new_customer="y"))
    assert answer.status_code == 303
    assert session.scalars(sa.select(sa.func.count(Customer.id))).one() == 1


@pytest.mark.parametrize(
    ("fields", "place", "told"),
    [
        ({"customer": ""}, "customer", "Choose the customer, or type the name of a new one."),
        ({"customer": "Brightwater Pump"}, "customer", "Did you mean Brightwater Pumps? Correct the name, or tick"),
        ({"customer": "Xylo"}, "customer", "There is no customer called Xylo yet. Correct the name, or tick"),
        ({"customer": "x" * 81}, "customer", "Use 80 characters or fewer."),
        ({"their_number": ""}, "their_number", "Enter the customer's order number."),
        ({"their_number": "9" * 41}, "their_number", "Use 40 characters or fewer."),
        ({"received_on": ""}, "received_on", "Enter the day the order came in."),
        ({"received_on": "7.1.2026"}, "received_on", "Enter a date as year-month-day, such as 2026-02-06."),
        ({"received_on": "2026-01-08"}, "received_on", "It cannot have been received after today, Wed 7 Jan 2026."),
        ({"lines-0-part": ""}, "lines-0-part", "Enter the number of the part."),
        ({"lines-0-part": "HB-10"}, "lines-0-part", "There is no part HB-10. Did you mean HB-100? Correct the number"),
        ({"lines-0-part": "ZZ"}, "lines-0-part", "There is no part ZZ. Correct the number, or describe the part"),
        ({"lines-0-revision": "Z"}, "lines-0-revision", "HB-100 has no revision Z. It has: B."),
        ({"lines-0-price": "12.34567"}, "lines-0-price", "Type at most 4 digits after the point."),
        ({"lines-0-price": "-1"}, "lines-0-price", "It must be 0 or more."),
        ({"lines-0-price": "10000001"}, "lines-0-price", "It must be 10,000,000 or less."),
        ({"lines-0-deliveries-0-quantity": ""}, "lines-0-deliveries-0-quantity", "Enter how many pieces."),
        ({"lines-0-deliveries-0-quantity": "0"}, "lines-0-deliveries-0-quantity", "It must be 1 or more."),
        (
            {"lines-0-deliveries-0-quantity": "1000001"},
            "lines-0-deliveries-0-quantity",
            "It must be 1,000,000 or less.",
        ),
        ({"lines-0-deliveries-0-quantity": "1.5"}, "lines-0-deliveries-0-quantity", "Type a whole number, such as 12"),
        ({"lines-0-deliveries-0-due": ""}, "lines-0-deliveries-0-due", "Enter the due date."),
        (
            {"lines-0-deliveries-0-due": "2026-01-06"},
            "lines-0-deliveries-0-due",
            "It cannot be due before the order was received, Wed 7 Jan 2026. Correct one of the two.",
        ),
        (
            {"lines-0-deliveries-0-due": "2031-01-08"},
            "lines-0-deliveries-0-due",
            "Wed 8 Jan 2031 is more than five years ahead. Correct it, or confirm that it is meant.",
        ),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_nothing_is_kept(shop, as_owner, session, fields, place, told):
    answer = as_owner.post("/orders", data=order_form(**{"note": "By their own truck"} | fields))
    assert answer.status_code == 422
    beside = answer.text.split(f'id="{place}-errors">')[1].split("</div>")[0]
    assert told in html.unescape(beside)
    assert "By their own truck" in answer.text
    assert kept_orders(session) == []
    assert session.scalars(sa.select(sa.func.count(Customer.id))).one() == 1


def test_all_that_is_wrong_is_said_at_once(shop, as_owner):
    sent = order_form({"part": "ZZ", "deliveries-0-due": "2025-12-31"}, customer="Xylo")
    answer = as_owner.post("/orders", data=sent)
    for told in ("no customer called Xylo", "no part ZZ", "cannot be due before"):
        assert told in answer.text


def test_over_the_form_each_wrong_field_is_named_with_a_link_to_it(shop, as_owner):
    answer = as_owner.post("/orders", data=order_form({"deliveries-0-quantity": "x"}, customer="", their_number=""))
    summary = html.unescape(answer.text.split('role="alert"')[1].split("</ul>")[0])
    assert re.findall('href="#([^"]*)"', summary) == ["customer", "their_number", "lines-0-deliveries-0-quantity"]
    assert "Customer</a>: Choose the customer, or type the name of a new one." in summary


def test_the_same_order_number_twice_says_which_order_it_is(shop, as_owner, session):
    customer = session.scalars(sa.select(Customer)).one()
    CustomerOrderFactory(customer=customer, their_number="BW-1", received_on=date(2025, 12, 1))
    answer = as_owner.post("/orders", data=order_form(their_number="bw-1"))
    assert answer.status_code == 422
    assert "Brightwater Pumps already has an order BW-1, received Mon 1 Dec 2025." in answer.text
    assert len(kept_orders(session)) == 1


def test_two_customers_may_use_the_same_number(shop, as_owner, session):
    CustomerOrderFactory(their_number="BW-1")
    assert as_owner.post("/orders", data=order_form()).status_code == 303


def test_a_far_date_is_kept_when_it_is_confirmed(shop, as_owner, session):
    sent = order_form({"deliveries-0-due": "2031-01-08"})
    assert 'name="far_dates_meant"' in as_owner.post("/orders", data=sent).text
    assert as_owner.post("/orders", data=sent | {"far_dates_meant": "y"}).status_code == 303
    assert kept_orders(session)[0].lines[0].deliveries[0].due == date(2031, 1, 8)


def test_five_years_to_the_day_are_not_questioned(shop, as_owner):
    assert as_owner.post("/orders", data=order_form({"deliveries-0-due": "2031-01-07"})).status_code == 303


def test_a_part_without_a_routing_can_be_ordered_and_is_warned_of(shop, as_owner, session):
    RevisionFactory(part__number="HB-300", label="A")
    answer = as_owner.post("/orders", data=order_form({"part": "HB-300"}))
    assert answer.status_code == 303
    assert "HB-300 revision A has no routing yet" in as_owner.get(answer.location).text


def test_a_part_without_a_current_revision_asks_for_one(shop, as_owner):
    RevisionFactory(part__number="HB-400", label="A", current=False)
    answer = as_owner.post("/orders", data=order_form({"part": "HB-400"}))
    assert "No revision of HB-400 is current. Choose one: A." in answer.text


def test_a_part_without_any_revision_says_so(shop, as_owner):
    PartFactory(number="HB-500")
    answer = as_owner.post("/orders", data=order_form({"part": "HB-500"}))
    assert "HB-500 has no revision yet. Add one under Parts first." in answer.text


def test_parts_and_customers_that_are_no_longer_active_are_refused(shop, as_owner):
    RevisionFactory(part__number="HB-600", part__active=False)
    CustomerFactory(name="Gone Gears", active=False)
    answer = as_owner.post("/orders", data=order_form({"part": "HB-600"}, customer="Gone Gears"))
    assert "HB-600 is marked as no longer used." in answer.text
    assert "Gone Gears is marked as a former customer." in answer.text


@pytest.mark.parametrize("who", ["as_setup_lead", "as_operator", "as_inspector"])
def test_only_an_owner_takes_orders(shop, request, session, who):
    browser = request.getfixturevalue(who)
    assert browser.get("/orders/new").status_code == 403
    assert browser.post("/orders", data=order_form()).status_code == 403
    assert kept_orders(session) == []


def test_nobody_takes_orders_without_signing_in(shop, client, session):
    assert client.post("/orders", data=order_form()).status_code == 401
    assert kept_orders(session) == []


def test_what_no_form_sends_is_refused_calmly(shop, as_owner, session):
    odd = {"lines-0-deliveries-0-due": "\x00", "lines-99999-part": "HB-100", "their_number": "BW\x00-1 "}
    answer = as_owner.post("/orders", data=order_form(**odd))
    assert answer.status_code == 422
    assert kept_orders(session) == []
