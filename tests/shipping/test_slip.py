"""The packing slip: whose, what, from which lots and heats, and what is to follow."""

import re
from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.queries import lot_name
from app.lots.services import SignOff, issue_blanks, sign_off, split_lot
from app.orders.models import Customer
from app.shipping.queries import heats_of_lots, leavings
from app.shipping.services import take_back_shipment
from tests.factories.lots import act, make_lot
from tests.factories.material import ReceiptFactory
from tests.factories.shipping import make_delivery, make_finished_lot, make_shipment
from tests.statements import counted


def text_of(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_the_slip_says_all_that_the_customer_needs(as_operator, session, lot, delivery):
    customer = session.scalars(sa.select(Customer)).one()
    customer.address = "Receiving, Door 4\n1200 Quarry Road"
    session.commit()
    shipment = make_shipment(session, (lot, delivery, 38), carrier="Our van", note="One crate")
    shown = text_of(as_operator.get(f"/shipments/{shipment.id}/slip").text)
    part = lot.revision.part
    for wanted in (
        "Harbor Lane Machine",
        "Packing slip 1",
        "Wed 7 Jan 2026",
        "Our van",
        customer.name,
        "Receiving, Door 4 1200 Quarry Road",
        delivery.line.order.their_number,
        f"{part.number} {part.name}",
        lot_name(lot),
        "50 ordered for Fri 9 Jan 2026; 12 to follow.",
        "One crate",
        f"Printed Wed 7 Jan 09:00 by {as_operator.person.name}",
    ):
        assert wanted in shown, wanted


def test_a_later_slip_counts_what_left_before_it_and_an_earlier_one_stays_as_it_was(
    as_operator, session, lot, delivery
):
    first = make_shipment(session, (lot, delivery, 20))
    taken_back = make_shipment(session, (lot, delivery, 10))
    take_back_shipment(session, act(), taken_back.id, "wrong box")
    second = make_shipment(session, (lot, delivery, 30))
    slips = [text_of(as_operator.get(f"/shipments/{each.id}/slip").text) for each in (first, second)]
    assert "50 ordered for Fri 9 Jan 2026; 30 to follow." in slips[0]
    assert "50 ordered for Fri 9 Jan 2026, 20 shipped earlier; complete." in slips[1]


def test_over_is_said_on_the_slip(as_operator, session, revision):
    delivery = make_delivery(revision)
    lot = make_finished_lot(session, revision, (delivery, 50), pieces=53)
    shipment = make_shipment(session, (lot, delivery, 53), over_agreed=True)
    slip = text_of(as_operator.get(f"/shipments/{shipment.id}/slip").text)
    assert "50 ordered for Fri 9 Jan 2026; 3 more as agreed." in slip
    assert [each.missing for each in leavings(session, shipment)] == [-3]


def test_a_split_lot_has_the_heats_of_the_lot_it_came_from(as_operator, session, revision, delivery):
    parent = make_lot(session, pieces=50, routing=revision.routings[0])
    for heat, pieces in (("7K2214", 30), ("5B0091", 20)):
        receipt = ReceiptFactory(revision=revision, pieces=pieces, heat=heat)
        issue_blanks(session, act(), parent.id, receipt.id, pieces)
    child = split_lot(session, act(), parent.operations[0].id, 20)
    grandchild = split_lot(session, act(), child.operations[0].id, 5)
    for lot, good in ((child, 15), (grandchild, 5)):
        sign_off(session, act(), [SignOff(lot.operations[0].id, good)])
    session.commit()
    stranger = make_finished_lot(session, revision)
    both = ["5B0091", "7K2214"]
    assert heats_of_lots(session, [grandchild.id, parent.id, stranger.id]) == {
        grandchild.id: both,
        parent.id: both,
        stranger.id: [],
    }
    shipment = make_shipment(session, (child, delivery, 15), (grandchild, delivery, 5))
    slip = text_of(as_operator.get(f"/shipments/{shipment.id}/slip").text)
    assert f"{lot_name(grandchild)} 5B0091, 7K2214 5" in slip
    assert "30 to follow. 20" in slip  # the two lots together


@pytest.mark.parametrize("count", [1, 4])
def test_a_slip_of_many_lines_sends_no_more_statements(as_operator, session, engine, revision, count):
    deliveries = [make_delivery(revision, due=date(2026, 1, 9))]
    for _ in range(count - 1):
        deliveries.append(make_delivery(revision, customer=deliveries[0].line.order.customer))
    lines = [(make_finished_lot(session, revision, (each, 50)), each, 50) for each in deliveries]
    shipment_id = make_shipment(session, *lines).id
    with counted(engine) as sent:
        assert as_operator.get(f"/shipments/{shipment_id}/slip").status_code == 200
    assert len(sent) == 8
