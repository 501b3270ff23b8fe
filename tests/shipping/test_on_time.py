"""On time is counted against the first promise and against what was agreed last."""

from datetime import date

import pytest

from app.orders.models import DueMeans
from app.orders.services import Talk, Terms, add_delivery, change_delivery
from app.shipping.queries import OnTime, on_time_of_customer, on_time_of_order
from app.shipping.queries.on_time import COUNTED
from app.shipping.services import take_back_shipment
from tests.factories.lots import MORNING, act
from tests.factories.orders import CustomerFactory
from tests.factories.shipping import make_delivery, make_finished_lot, make_shipment
from tests.statements import counted

YESTERDAY = date(2026, 1, 6)


def filled(session, revision, due, agreed=None, **more):
    delivery = make_delivery(revision, quantity=5, due=due, **more)
    if agreed is not None:
        talk = Talk(f"agreed-{delivery.id}", MORNING, agreed_with="Ms Ito")
        change_delivery(session, delivery.id, Terms(5, agreed), talk)
    make_shipment(session, (make_finished_lot(session, revision, (delivery, 5), pieces=5), delivery, 5))
    return delivery


@pytest.fixture
def customer(session):
    return CustomerFactory()


def test_a_later_agreement_counts_beside_the_first_promise(session, revision, customer):
    late = filled(session, revision, YESTERDAY, customer=customer)
    moved = filled(session, revision, YESTERDAY, agreed=date(2026, 1, 7), customer=customer)
    filled(session, revision, date(2026, 1, 7), customer=customer)
    filled(session, revision, YESTERDAY)  # somebody else's
    assert on_time_of_customer(session, customer.id) == OnTime(deliveries=3, by_first=1, by_last=2)
    assert on_time_of_order(session, late.line.order_id) == OnTime(1, 0, 0)
    assert on_time_of_order(session, moved.line.order_id) == OnTime(1, 0, 1)


def test_a_dock_day_is_met_by_what_left_as_many_days_before_as_it_is_on_the_road(session, revision):
    customer = CustomerFactory(due_means=DueMeans.DOCK, transit_days=2)
    filled(session, revision, date(2026, 1, 9), customer=customer)
    filled(session, revision, date(2026, 1, 8), customer=customer)
    assert on_time_of_customer(session, customer.id) == OnTime(2, 1, 1)


def test_what_is_not_filled_taken_back_or_sent_again_does_not_count(session, revision, customer):
    delivery = make_delivery(revision, quantity=5, customer=customer)
    lot = make_finished_lot(session, revision, (delivery, 5), pieces=20)
    make_shipment(session, (lot, delivery, 4))
    assert on_time_of_customer(session, customer.id).deliveries == 0
    last = make_shipment(session, (lot, delivery, 1))
    assert on_time_of_customer(session, customer.id).deliveries == 1
    take_back_shipment(session, act(), last.id, "wrong box")
    assert on_time_of_customer(session, customer.id).deliveries == 0
    again = add_delivery(
        session, delivery.line_id, Terms(5, date(2026, 1, 7)), Talk("again", MORNING), is_replacement=True
    )
    session.commit()
    make_shipment(session, (lot, again, 5))
    assert on_time_of_customer(session, customer.id).deliveries == 0


def test_the_customer_s_page_asks_for_it_and_the_order_says_it_too(session, revision, customer, as_operator):
    delivery = filled(session, revision, YESTERDAY, agreed=date(2026, 1, 7), customer=customer)
    assert f"/shipments/on-time/{customer.id}" in as_operator.get(f"/customers/{customer.id}").text
    figure = as_operator.get(f"/shipments/on-time/{customer.id}").text
    assert "0 of 1" in figure
    assert "1 of 1" in figure
    told = as_operator.get(f"/shipments/of-order/{delivery.line.order_id}").text
    assert "Of 1 filled delivery 0 left by the first promise, 1 by what was agreed last." in told
    assert as_operator.get("/shipments/on-time/999").status_code == 404


def test_it_is_one_bounded_statement(session, revision, customer, engine):
    for _ in range(3):
        filled(session, revision, YESTERDAY, customer=customer)
    customer_id = customer.id
    with counted(engine) as sent:
        on_time_of_customer(session, customer_id)
    assert len(sent) == 1
    assert "LIMIT" in sent[0]
    assert COUNTED == 200
