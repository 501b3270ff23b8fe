"""Bought components: what lots still take of them is ordered, chased and received as blanks are."""

import re
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.lots import services as lots
from app.lots.services import ComponentSource, SignOff, begin, sign_off
from app.material.models import MaterialOrder
from app.parts.models import BlankSource
from app.purchasing.models import Purpose
from app.purchasing.queries import Key, material_to_chase, material_to_order, needs_of
from app.purchasing.services import NewPurchase, PurchaseLine, Share, order_material
from app.shared.errors import RefusedError
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.material import ReceiptFactory
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory
from tests.factories.purchasing import TODAY, make_receipt
from tests.statements import counted


@pytest.fixture
def pin(session):
    """A dowel pin: bought, five days from order to receipt, at 0.1250 a piece."""
    part = PartFactory(number="PIN-6", name="Dowel pin")
    RevisionFactory(part=part, blank="", blank_lead_days=5, blank_price=Decimal("0.125"))
    return part


@pytest.fixture
def routing(session, pin):
    made = make_routing(operations=2)
    made.revision.components = [ComponentFactory.build(part=pin, operation_number=20, per_piece=2)]
    session.commit()
    return made


@pytest.fixture
def lot(session, routing):
    return make_lot(session, pieces=50, routing=routing, due_on=date(2026, 2, 6))


def told(session):
    return [
        (each.what, each.pieces, [need.lot.id for need in each.needs]) for each in material_to_order(session, TODAY)
    ]


def buy(session, pin, *shares, **line):
    new = NewPurchase("Nettle Fasteners", TODAY, (PurchaseLine(Key(part_id=pin.id), shares, **line),), new_vendor=True)
    order = order_material(session, act(), new)
    session.commit()
    return order


def test_what_lots_take_and_nobody_ordered_is_to_order_by_a_day(session, lot):
    [found] = material_to_order(session, TODAY)
    assert (found.what, found.pieces, found.units) == ("PIN-6 Dowel pin", 100, 100)
    assert (found.needed_by, found.order_by) == (
        date(2026, 2, 6),
        date(2026, 1, 30),
    )  # five days before it, on a Friday


def test_what_is_at_hand_or_on_order_is_not_ordered_again(session, lot, pin):
    ReceiptFactory(revision=None, part_id=pin.id, pieces=30)
    assert told(session) == [("PIN-6 Dowel pin", 70, [lot.id])]
    buy(session, pin, Share(lot.id, 60))
    assert told(session) == [("PIN-6 Dowel pin", 10, [lot.id])]
    [need] = needs_of(session, Key(part_id=pin.id))
    assert (need.wanted, need.at_hand, need.on_order, need.to_order) == (100, 30, 60, 10)


def test_what_was_used_and_what_lies_at_the_station_is_neither_wanted_nor_at_hand(session, lot, routing, pin):
    receipt = ReceiptFactory(revision=None, part_id=pin.id, pieces=100)
    first, fitting = lot.operations
    for operation in (first, fitting):
        begin(session, act(station_id=station_of(operation).id), [operation.id])
        if operation is first:
            sign_off(session, act(station_id=station_of(first).id), [SignOff(first.id, good=50)])
    lots.use_component(session, act(), fitting.id, ComponentSource(receipt_id=receipt.id), 40)
    session.commit()
    assert told(session) == []
    second = make_lot(session, pieces=10, routing=routing)
    assert told(session) == [("PIN-6 Dowel pin", 20, [second.id])]  # the 60 that are left lie at the station


def test_a_part_that_is_made_here_is_not_bought(session, lot, pin):
    own = make_routing(operations=1)
    own.revision.part = pin
    own.revision.label = "B"
    session.commit()
    assert material_to_order(session, TODAY) == []


def test_what_the_customer_sends_is_asked_for_and_received_as_a_component(as_owner, session, lot, pin):
    pin.current_revision.blank_source = BlankSource.CUSTOMER
    session.commit()
    page = as_owner.get("/purchasing").text
    assert "PIN-6 Dowel pin, from the customer" in page
    assert "/receipts/new?part=PIN-6&amp;what=component" in page
    form = as_owner.get("/receipts/new?part=PIN-6&what=component").text
    assert re.search(r'<input[^>]*checked[^>]*value="component"', form)


def test_a_purchase_takes_price_and_day_of_the_component_and_keeps_the_lots_it_is_for(session, lot, pin):
    [line] = buy(session, pin, Share(lot.id, 100)).lines
    assert (line.part_id, line.units, line.pieces_per_unit, line.unit_price) == (pin.id, 100, 1, Decimal("0.125"))
    assert line.expected_on == date(2026, 1, 12)
    assert [(each.lot_id, each.pieces) for each in session.scalars(sa.select(Purpose))] == [(lot.id, 100)]


def test_more_than_a_lot_takes_and_a_lot_that_takes_none_are_refused(session, lot, pin):
    other = make_lot(session, pieces=5)
    with pytest.raises(RefusedError) as caught:
        buy(session, pin, Share(lot.id, 101), Share(other.id, 1))
    said = {problem.place: str(problem.error) for problem in caught.value.problems}
    assert said["lines-0-shares-0-pieces"].endswith("waits for 100 pieces. Enter 100 or fewer.")
    assert said["lines-0-shares-1-pieces"].endswith("waits for 0 pieces. Leave it empty.")


def test_the_page_orders_a_component_together_with_blanks_and_receives_it(as_owner, session, lot, pin, blank):
    assert f"/purchasing/orders/new?part={pin.id}" in as_owner.get("/purchasing").text
    page = as_owner.get(f"/purchasing/orders/new?revision={blank.id}&part={pin.id}").text
    assert "PIN-6 Dowel pin" in page
    assert f'name="lines-1-part_id" type="hidden" value="{pin.id}"' in page
    assert 'name="lines-1-shares-0-pieces" type="number" value="100"' in page
    sent = {
        "key": "k1",
        "vendor": "Nettle Fasteners",
        "new_vendor": "y",
        "ordered_on": "2026-01-07",
        "lines-0-revision_id": str(blank.id),
        "lines-0-units": "3",
        "lines-1-part_id": str(pin.id),
        "lines-1-units": "",
        "lines-1-shares-0-lot_id": str(lot.id),
        "lines-1-shares-0-pieces": "100",
    }
    answer = as_owner.post("/purchasing/orders", data=sent)
    session.rollback()
    order = session.scalars(sa.select(MaterialOrder)).one()
    assert (answer.status_code, answer.location) == (303, f"/material-orders/{order.id}")
    assert [(line.revision_id, line.part_id, line.pieces) for line in order.lines] == [
        (blank.id, None, 27),
        (None, pin.id, 100),
    ]
    counts = {"pieces": "100", "rejected": "", "received_on": "2026-01-07", "heat": ""}
    came = as_owner.post(f"/material-orders/lines/{order.lines[1].id}/receipts", data=counts)
    assert "it stays at hand until it is scanned at the operation that takes it" in as_owner.get(came.location).text
    session.rollback()
    [need] = needs_of(session, Key(part_id=pin.id))
    assert (need.at_hand, need.to_order) == (100, 0)


def test_the_review_orders_and_chases_components(as_owner, session, lot, pin, clock):
    assert "PIN-6 Dowel pin, 100 pieces" in as_owner.get("/review").text
    order = buy(session, pin, Share(lot.id, 100))
    [late] = material_to_chase(session, date(2026, 1, 20))
    assert (late.what, late.pieces, [each.id for each in late.lots]) == ("PIN-6 Dowel pin", 100, [lot.id])
    clock.now = datetime(2026, 1, 20, 15, tzinfo=UTC)
    assert "Nettle Fasteners: PIN-6 Dowel pin" in as_owner.get("/review").text
    make_receipt(session, order, 100)
    assert material_to_chase(session, date(2026, 1, 20)) == []


def test_the_statements_do_not_grow_with_lots_and_components(session, engine, pin, routing):
    def statements():
        session.rollback()
        with counted(engine) as sent:
            assert all(each.what for each in material_to_order(session, TODAY))
        return len(sent)

    def some(count):
        for _ in range(count):
            lot = make_lot(session, pieces=5, routing=routing)
            buy(session, pin, Share(lot.id, 4))
            ReceiptFactory(revision=None, part_id=pin.id, pieces=1)

    some(1)
    few = statements()
    some(4)
    assert statements() == few <= 11
