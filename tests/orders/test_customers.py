"""Customers: adding, changing, and what their due dates mean."""

import html
from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa

from app.orders import queries, services
from app.orders.models import Customer, DueMeans
from app.orders.services import NewCustomer
from tests.factories.orders import CustomerFactory, DeliveryFactory
from tests.factories.stations import ShopFactory

FILLED = {
    "name": "Brightwater Pumps",
    "address": "4 Mill Lane\r\n\r\nHarbor",
    "due_means": "at their dock",
    "transit_days": "3",
    "active": "y",
}


def test_a_customer_is_added_with_what_their_due_date_means(as_owner, session):
    assert as_owner.post("/customers", data=FILLED).status_code == 303
    session.rollback()
    customer = session.scalars(sa.select(Customer)).one()
    assert (customer.name, customer.address) == ("Brightwater Pumps", "4 Mill Lane\n\nHarbor")
    assert (customer.due_means, customer.transit_days, customer.active) == (DueMeans.DOCK, 3, True)
    page = as_owner.get(f"/customers/{customer.id}").text
    assert "at their dock; 3 days on the road" in page


def test_dock_dates_leave_earlier_by_the_days_on_the_road():
    dock = Customer(due_means=DueMeans.DOCK, transit_days=3)
    leaves = Customer(due_means=DueMeans.LEAVES, transit_days=3)
    assert dock.leave_day(date(2026, 3, 2)) == date(2026, 2, 27)
    assert leaves.leave_day(date(2026, 3, 2)) == date(2026, 3, 2)


@pytest.mark.parametrize(
    ("day", "moment"),
    [
        (date(2026, 1, 9), datetime(2026, 1, 9, 21, tzinfo=UTC)),
        (date(2026, 7, 9), datetime(2026, 7, 9, 20, tzinfo=UTC)),
    ],
)
def test_goods_leave_by_the_shipping_cut_off_on_the_shops_wall_clock(session, day, moment):
    """15:00 in Chicago is 21:00 UTC in winter and 20:00 in summer."""
    ShopFactory()
    assert queries.leave_by(session, day) == moment


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"name": ""}, "Enter the customer's name."),
        ({"name": "x" * 81}, "Use 80 characters or fewer."),
        ({"name": "NORD valves"}, "There is already a customer called Nord Valves. Choose another name."),
        ({"address": "x" * 1001}, "Use 1,000 characters or fewer."),
        ({"due_means": "some day"}, "Choose one of the two."),
        ({"transit_days": "-1"}, "It must be 0 or more."),
        ({"transit_days": "91"}, "It must be 90 or less."),
        ({"transit_days": ""}, "Enter 0 or more days."),
    ],
)
def test_a_wrong_customer_is_refused_beside_the_field(as_owner, session, sent, told):
    CustomerFactory(name="Nord Valves")
    answer = as_owner.post("/customers", data=FILLED | sent)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
    assert session.scalars(sa.select(Customer.name)).all() == ["Nord Valves"]


def test_a_customer_is_changed_and_may_keep_their_name(as_owner, session):
    customer = CustomerFactory(name="Brightwater Pumps")
    sent = FILLED | {"due_means": "leaves here"}
    sent.pop("active")
    assert as_owner.post(f"/customers/{customer.id}", data=sent).status_code == 303
    session.rollback()
    session.refresh(customer)
    assert (customer.due_means, customer.active) == (DueMeans.LEAVES, False)
    assert "Former customer" in as_owner.get("/customers").text


def test_a_changed_customer_does_not_take_anothers_name(as_owner, session):
    CustomerFactory(name="Nord Valves")
    customer = CustomerFactory(name="Brightwater Pumps")
    answer = as_owner.post(f"/customers/{customer.id}", data=FILLED | {"name": "nord valves"})
    assert answer.status_code == 422
    assert "There is already a customer called Nord Valves." in answer.text


def test_followers_hear_of_the_open_deliveries_whose_leaving_day_changed(session, now, monkeypatch):
    delivery = DeliveryFactory()
    closed = DeliveryFactory(line__order=delivery.line.order, line__number=2, closed_at=now)
    assert closed.closed_at
    heard = []
    monkeypatch.setattr("app.orders.services.following._followers", [lambda _session, ids: heard.append(ids)])
    customer = delivery.line.order.customer
    services.change_customer(session, customer.id, NewCustomer(customer.name, due_means=DueMeans.DOCK, transit_days=2))
    assert heard == [{delivery.id}]
    services.change_customer(session, customer.id, NewCustomer("Renamed", due_means=DueMeans.DOCK, transit_days=2))
    assert heard == [{delivery.id}]


def test_customers_are_found_by_name_and_address(as_owner, session):
    CustomerFactory(name="Nord Valves", address="Quay 5")
    CustomerFactory(name="Brightwater Pumps")
    found = as_owner.get("/customers?q=quay").text
    assert "Nord Valves" in found
    assert "Brightwater Pumps" not in found
    assert "No customer fits “zzz”." in as_owner.get("/customers?q=zzz").text


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    assert "Add the first one here, or type a new name when you take an order." in as_owner.get("/customers").text
    assert "An owner adds the first one." in as_operator.get("/customers").text


def test_only_an_owner_changes_customers(as_setup_lead, session):
    customer = CustomerFactory()
    assert as_setup_lead.get(f"/customers/{customer.id}").status_code == 200
    for path in ("/customers", f"/customers/{customer.id}"):
        assert as_setup_lead.post(path, data=FILLED).status_code == 403
    for path in ("/customers/new", f"/customers/{customer.id}/edit"):
        assert as_setup_lead.get(path).status_code == 403


def test_a_missing_customer_is_said_to_be_missing(as_owner):
    answer = as_owner.get("/customers/999")
    assert answer.status_code == 404
    assert "There is no such customer." in answer.text
