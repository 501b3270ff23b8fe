"""The pages of shipping: what they say, who may use them, and that nothing typed is lost."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.queries import lot_name
from app.shipping.models import Shipment
from app.shipping.services import take_back_shipment
from tests.factories.lots import act
from tests.factories.orders import CustomerFactory
from tests.factories.shipping import make_delivery, make_finished_lot, make_shipment
from tests.shipping.typed import rows
from tests.statements import counted


def test_the_list_says_what_to_do_first(as_operator):
    page = as_operator.get("/shipments").text
    assert "Nothing has been shipped yet." in page
    assert 'href="/shipments/new"' in page


def test_the_ready_page_leads_to_the_customers_form(as_setup_lead, lot, delivery):
    page = as_setup_lead.get("/shipments/new").text
    customer = delivery.line.order.customer
    assert customer.name in page
    assert "Complete" in page
    assert f'href="/shipments/new/{customer.id}"' in page


def test_an_operator_sees_what_is_ready_and_cannot_ship(as_operator, lot, delivery):
    customer_id = delivery.line.order.customer_id
    page = as_operator.get("/shipments/new")
    assert page.status_code == 200
    assert f"/shipments/new/{customer_id}" not in page.text
    assert as_operator.get(f"/shipments/new/{customer_id}").status_code == 403
    assert as_operator.post("/shipments", data=rows((lot, delivery, 50))).status_code == 403


def test_the_form_proposes_what_is_ready_and_says_what_it_does(as_setup_lead, lot, delivery):
    page = as_setup_lead.get(f"/shipments/new/{delivery.line.order.customer_id}").text
    assert 'name="lines-0-pieces" type="number" value="50"' in page.replace("\n", " ")
    assert "Fills the 50" in page
    assert 'value="2026-01-07"' in page


def test_nothing_is_proposed_for_a_delivery_that_leaves_much_later(as_setup_lead, session, revision):
    delivery = make_delivery(revision, due=date(2026, 6, 1))
    make_finished_lot(session, revision, (delivery, 50))
    page = as_setup_lead.get(f"/shipments/new/{delivery.line.order.customer_id}").text
    assert "Nothing leaves yet: enter pieces above." in page


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        (38, ["12 short of 50", "the delivery stays open."]),
        (50, ["Fills the 50", "the delivery closes."]),
        (53, ["3 over the 50", "ask the customer first."]),
    ],
)
def test_what_is_typed_is_reckoned_before_it_is_recorded(as_setup_lead, session, lot, delivery, pieces, said):
    answer = as_setup_lead.get(
        f"/shipments/new/{delivery.line.order.customer_id}",
        query_string=rows((lot, delivery, pieces)),
        headers={"HX-Request": "true", "HX-Request-Type": "partial"},
    )
    assert answer.status_code == 200
    assert all(each in answer.text for each in said)
    assert "<html" not in answer.text
    assert ('name="over_agreed"' in answer.text) == (pieces > 50)
    session.rollback()
    assert session.scalars(sa.select(Shipment)).all() == []


def test_recording_leads_to_the_shipment_which_says_what_is_short(as_setup_lead, session, lot, delivery):
    answer = as_setup_lead.post("/shipments", data=rows((lot, delivery, 38), carrier="Our van"))
    session.rollback()
    shipment = session.scalars(sa.select(Shipment)).one()
    assert (answer.status_code, answer.location) == (303, f"/shipments/{shipment.id}")
    assert shipment.recorded_by == as_setup_lead.person
    page = as_setup_lead.get(answer.location).text
    assert "12 short of 50" in page
    assert "the delivery stays open." in page
    assert "Our van" in page


def test_sending_the_form_twice_leads_to_the_same_shipment(as_setup_lead, session, lot, delivery):
    sent = rows((lot, delivery, 20))
    first, again = (as_setup_lead.post("/shipments", data=sent) for _ in range(2))
    assert first.location == again.location
    session.rollback()
    assert delivery.shipped == 20


def test_over_asks_for_the_tick_and_keeps_what_was_typed(as_setup_lead, session, revision):
    delivery = make_delivery(revision)
    lot = make_finished_lot(session, revision, (delivery, 50), pieces=53)
    sent = rows((lot, delivery, 53), carrier="Parcel", note="Handle with care")
    answer = as_setup_lead.post("/shipments", data=sent)
    assert answer.status_code == 422
    assert "3 over the 50 that order" in answer.text
    assert 'value="53"' in answer.text
    assert 'value="Parcel"' in answer.text
    assert "Handle with care" in answer.text
    session.rollback()
    assert session.scalars(sa.select(Shipment)).all() == []
    agreed = as_setup_lead.post("/shipments", data=sent | {"over_agreed": "y"})
    assert agreed.status_code == 303
    assert "agreed with the customer." in as_setup_lead.get(agreed.location).text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"lines-0-pieces": "51"}, "51 pieces are more than can be there"),
        ({"lines-0-pieces": "many"}, "Type a whole number, such as 12"),
        ({"lines-0-pieces": ""}, "Enter how many pieces leave of at least one lot."),
        ({"shipped_on": "2026-01-08"}, "It cannot have left after today, Wed 7 Jan 2026."),
        ({"shipped_on": ""}, "Enter the day it leaves."),
        ({"carrier": "x" * 81}, "Use 80 characters or fewer."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_stored(as_setup_lead, session, lot, delivery, changed, said):
    answer = as_setup_lead.post("/shipments", data=rows((lot, delivery, 50)) | changed)
    assert answer.status_code == 422
    assert said in answer.text
    session.rollback()
    assert session.scalars(sa.select(Shipment)).all() == []


def test_a_customer_or_row_that_does_not_exist_is_not_found(as_setup_lead, lot, delivery):
    assert as_setup_lead.get("/shipments/new/9999").status_code == 404
    gone = rows((lot, delivery, 50)) | {"lines-0-lot_id": "9999"}
    assert as_setup_lead.post("/shipments", data=gone).status_code == 404
    assert as_setup_lead.get("/shipments/9999").status_code == 404


def test_the_list_finds_shipments_by_slip_customer_order_part_and_lot(as_operator, session, lot, delivery):
    make_shipment(session, (lot, delivery, 50))
    other = make_delivery(delivery.line.revision, customer=CustomerFactory(name="Quarry Hill Cranes"))
    make_shipment(session, (make_finished_lot(session, delivery.line.revision, (other, 50)), other, 50))
    order = delivery.line.order
    assert 'href="/shipments/2"' in as_operator.get("/shipments", query_string={"q": "2"}).text
    for text in (order.customer.name, order.their_number, lot_name(lot)):
        page = as_operator.get("/shipments", query_string={"q": text}).text
        assert "1 shipment" in page, text
    assert "2 shipments" in as_operator.get("/shipments", query_string={"q": lot.revision.part.number}).text
    assert "No shipment fits" in as_operator.get("/shipments", query_string={"q": "nonsense"}).text


def test_the_owner_takes_a_shipment_back(as_owner, session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 50))
    assert "Recorded by mistake?" in as_owner.get(f"/shipments/{shipment.id}").text
    answer = as_owner.post(f"/shipments/{shipment.id}/taken-back", data={"key": "k", "reason": "wrong box"})
    assert (answer.status_code, answer.location) == (303, f"/shipments/{shipment.id}")
    page = as_owner.get(answer.location).text
    assert f"Taken back Wed 7 Jan 09:00 by {as_owner.person.name}: wrong box." in page
    assert "Recorded by mistake?" not in page
    assert as_owner.get(f"/shipments/{shipment.id}/slip").status_code == 409
    assert "Taken back" in as_owner.get("/shipments").text


def test_taking_back_needs_a_reason_and_the_same_day(as_owner, session, clock, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 50))
    answer = as_owner.post(f"/shipments/{shipment.id}/taken-back", data={"key": "k", "reason": " "})
    assert answer.status_code == 422
    assert "Say why it is taken back" in answer.text
    clock.forward(days=1)
    answer = as_owner.post(f"/shipments/{shipment.id}/taken-back", data={"key": "k", "reason": "wrong box"})
    assert answer.status_code == 422
    assert "can be taken back on that day only" in answer.text
    session.rollback()
    assert delivery.shipped == 50


def test_only_the_owner_takes_back(as_setup_lead, session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 50))
    assert "Recorded by mistake?" not in as_setup_lead.get(f"/shipments/{shipment.id}").text
    answer = as_setup_lead.post(f"/shipments/{shipment.id}/taken-back", data={"key": "k", "reason": "wrong box"})
    assert answer.status_code == 403


@pytest.mark.parametrize("path", ["/shipments", "/shipments/new", "/shipments/1", "/shipments/1/slip"])
def test_nobody_sees_shipments_without_signing_in(client, path):
    assert client.get(path).status_code == 303


def test_pages_send_as_many_statements_for_many_rows_as_for_one(as_setup_lead, engine, session, revision):
    def statements():
        pages = ("/shipments", "/shipments/new", f"/shipments/new/{customer.id}", "/shipments/1", "/shipments/1/slip")
        found = {}
        for page in pages:
            with counted(engine) as sent:
                assert as_setup_lead.get(page).status_code == 200
            found[page] = len(sent)
        return found

    customer = CustomerFactory()

    def ship_some(count):
        deliveries = [make_delivery(revision, customer=customer) for _ in range(count)]
        lots = [make_finished_lot(session, revision, (delivery, 50)) for delivery in deliveries]
        make_shipment(session, *((lot, delivery, 20) for lot, delivery in zip(lots, deliveries, strict=True)))

    ship_some(1)
    few = statements()
    ship_some(4)
    assert statements() == few
    assert max(few.values()) <= 10


def test_the_pages_of_a_lot_and_of_an_order_lead_to_their_shipments(as_operator, session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 20))
    undone = make_shipment(session, (lot, delivery, 5))
    take_back_shipment(session, act(), undone.id, "wrong box")
    order_id = delivery.line.order_id
    for page, fragment in ((f"/lots/{lot.id}", f"of-lot/{lot.id}"), (f"/orders/{order_id}", f"of-order/{order_id}")):
        assert f'hx-get="/shipments/{fragment}"' in as_operator.get(page).text
        said = as_operator.get(f"/shipments/{fragment}").text
        assert f'<a href="/shipments/{shipment.id}">slip {shipment.number}</a> of Wed 7 Jan, 20 pieces' in said
        assert f"/shipments/{undone.id}" not in said
    assert "slip" not in as_operator.get("/shipments/of-lot/999").text


def test_an_order_shows_the_lots_that_serve_it(as_operator, lot, delivery):
    order_id = delivery.line.order_id
    assert f'hx-get="/lots/of-order/{order_id}"' in as_operator.get(f"/orders/{order_id}").text
    assert lot_name(lot) in as_operator.get(f"/lots/of-order/{order_id}").text
    assert "code" not in as_operator.get("/lots/of-order/999").text
