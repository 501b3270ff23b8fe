"""What is ready to ship, and who gets it."""

from datetime import date
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.lots.services import Share, hold_lot
from app.orders.models import DueMeans
from app.shipping.queries import ready_for, ready_to_ship, shared_out
from tests.factories.lots import act, make_lot
from tests.factories.orders import CustomerFactory
from tests.factories.shipping import TODAY, make_delivery, make_finished_lot, make_revision, make_shipment
from tests.statements import counted


def told(ready):
    return [
        (each.delivery.id, [(candidate.lot.id, candidate.meant, candidate.reserved) for candidate in each.candidates])
        for customer in ready
        for each in customer.deliveries
    ]


def test_a_finished_lot_is_ready_for_the_delivery_it_was_made_for(session, lot, delivery):
    assert told(ready_to_ship(session, TODAY)) == [(delivery.id, [(lot.id, 50, 50)])]


def test_pieces_that_are_not_finished_and_deliveries_that_are_closed_are_not_ready(session, revision, delivery):
    make_lot(session, routing=revision.routings[0], shares=(Share(delivery.id, 50),))
    lot = make_finished_lot(session, revision, (delivery, 50))
    make_shipment(session, (lot, delivery, 50))
    assert ready_to_ship(session, TODAY) == []


def test_the_delivery_that_leaves_first_gets_the_pieces_first(session, revision):
    late = make_delivery(revision, quantity=30, due=date(2026, 1, 12))
    soon = make_delivery(revision, quantity=30, due=date(2026, 1, 9))
    lot = make_finished_lot(session, revision, (late, 30), (soon, 30), pieces=40)
    assert told(ready_to_ship(session, TODAY)) == [(soon.id, [(lot.id, 30, 30)]), (late.id, [(lot.id, 30, 10)])]


def test_a_dock_date_leaves_earlier_by_its_days_on_the_road(session, revision):
    far = CustomerFactory(due_means=DueMeans.DOCK, transit_days=4)
    dock = make_delivery(revision, quantity=30, due=date(2026, 1, 12), customer=far)
    here = make_delivery(revision, quantity=30, due=date(2026, 1, 9))
    make_finished_lot(session, revision, pieces=30)
    assert [each.deliveries[0].delivery.id for each in ready_to_ship(session, TODAY)] == [dock.id, here.id]


def test_stock_fills_what_the_lots_of_a_delivery_leave_open(session, revision, delivery):
    stock = make_finished_lot(session, revision)
    own = make_finished_lot(session, revision, (delivery, 30), pieces=30)
    assert told(ready_to_ship(session, TODAY)) == [(delivery.id, [(own.id, 30, 30), (stock.id, 0, 20)])]


def test_a_lot_of_another_delivery_is_shown_but_reserved_for_its_own(session, revision, delivery):
    other = make_delivery(revision, due=date(2026, 1, 12))
    lot = make_finished_lot(session, revision, (other, 50))
    assert told(ready_to_ship(session, TODAY)) == [(delivery.id, [(lot.id, 0, 0)]), (other.id, [(lot.id, 50, 50)])]
    [one] = ready_for(session, delivery.line.order.customer_id, TODAY)
    assert one.reserved == 0


def test_a_lot_on_hold_is_shown_with_nothing_of_it_reserved(session, lot, delivery):
    hold_lot(session, act(), lot.id, "porosity")
    assert told(ready_to_ship(session, TODAY)) == [(delivery.id, [(lot.id, 50, 0)])]


def test_what_leaves_more_than_a_week_later_is_early(session, revision):
    deliveries = [make_delivery(revision, due=date(2026, 1, day)) for day in (14, 15)]
    make_finished_lot(session, revision)
    ready = [each for customer in ready_to_ship(session, TODAY) for each in customer.deliveries]
    assert [(each.delivery.id, each.early) for each in ready] == [(deliveries[0].id, False), (deliveries[1].id, True)]


def test_what_has_left_is_not_meant_again(session, lot, delivery):
    make_shipment(session, (lot, delivery, 20))
    assert told(ready_to_ship(session, TODAY)) == [(delivery.id, [(lot.id, 30, 30)])]


@pytest.mark.parametrize("customers", [1, 4])
def test_the_number_of_statements_does_not_grow(session, engine, customers):
    for _ in range(customers):
        revision = make_revision()
        for _ in range(2):
            make_finished_lot(session, revision, (make_delivery(revision), 50))
    session.expire_all()
    with counted(engine) as sent:
        told(ready_to_ship(session, TODAY))
    assert len(sent) == 3


LOTS = st.lists(
    st.tuples(st.integers(1, 60), st.booleans(), st.dictionaries(st.integers(0, 3), st.integers(1, 60), max_size=3)),
    min_size=1,
    max_size=4,
)
DELIVERIES = st.lists(st.tuples(st.integers(1, 60), st.integers(0, 59), st.integers(0, 20)), min_size=1, max_size=4)


def invented(lots, deliveries):
    made = [
        SimpleNamespace(
            id=key,
            quantity=quantity,
            shipped=min(shipped, quantity - 1),
            leave_day=date(2026, 1, 1 + day),
            line=SimpleNamespace(revision_id=1),
        )
        for key, (quantity, shipped, day) in enumerate(deliveries)
    ]
    finished = [
        SimpleNamespace(
            id=key,
            number=key,
            revision_id=1,
            in_stock=stock,
            on_hold=held,
            deliveries=[SimpleNamespace(delivery_id=d, quantity=q, shipped=0) for d, q in shares.items()],
        )
        for key, (stock, held, shares) in enumerate(lots)
    ]
    return made, finished


@given(LOTS, DELIVERIES)
def test_no_lot_gives_more_than_it_has_and_no_delivery_gets_more_than_it_waits_for(lots, deliveries):
    made, finished = invented(lots, deliveries)
    ready = shared_out(made, finished, TODAY)
    given_by = {lot.id: 0 for lot in finished}
    for each in ready:
        assert 0 <= each.reserved <= each.missing
        for candidate in each.candidates:
            assert candidate.reserved >= 0
            given_by[candidate.lot.id] += candidate.reserved
    for lot in finished:
        assert given_by[lot.id] <= (0 if lot.on_hold else lot.in_stock)


@given(LOTS, DELIVERIES)
def test_nothing_stays_in_stock_while_a_delivery_waits_for_it(lots, deliveries):
    made, finished = invented(lots, deliveries)
    ready = shared_out(made, finished, TODAY)
    free = sum(lot.in_stock for lot in finished if not lot.on_hold)
    waiting = sum(each.missing for each in ready)
    assert sum(each.reserved for each in ready) == min(free, waiting)
