"""The search box finds lots, parts, orders, customers and heats; a scanned code leads straight there."""

import pytest

from app.lots.queries import lot_name
from tests.factories.lots import make_lot, make_ordered_lot, make_routing
from tests.factories.material import ReceiptFactory
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.mark.parametrize("what", ["part number", "part name", "order", "customer"])
def test_a_word_finds_what_has_it(as_operator, session, what):
    lot = make_ordered_lot(session)
    order = lot.deliveries[0].delivery.line.order
    words = {
        "part number": (lot.revision.part.number, f"/parts/{lot.revision.part_id}"),
        "part name": ("hinge", f"/parts/{lot.revision.part_id}"),
        "order": (order.their_number.lower(), f"/orders/{order.id}"),
        "customer": (order.customer.name[:8].upper(), f"/customers/{order.customer_id}"),
    }
    text, link = words[what]
    assert f'href="{link}"' in as_operator.get("/search", query_string={"q": text}).text


def test_a_heat_leads_to_its_receipt_and_the_lots_it_went_to(as_operator, session):
    routing = make_routing(blanks=True)
    receipt = ReceiptFactory(revision=routing.revision, heat="QX-7781")
    lot = make_lot(session, routing=routing)
    page = as_operator.get("/search?q=7781").text
    assert f'href="/receipts/{receipt.id}"' in page
    assert f'href="/lots/{lot.id}"' in page


def test_a_lots_bare_number_finds_it(as_operator, session):
    lot = make_lot(session)
    assert f'href="/lots/{lot.id}"' in as_operator.get(f"/search?q=L{lot.number:05}").text


def test_a_code_leads_straight_to_what_it_names(as_operator, session):
    code = lot_name(make_lot(session))
    answer = as_operator.get(f"/search?q={code}")
    assert (answer.status_code, answer.location) == (303, f"/c/{code}")


@pytest.mark.parametrize("text", ["", "x"])
def test_too_little_says_what_to_type(as_operator, text):
    assert "Type at least two characters" in as_operator.get("/search", query_string={"q": text}).text


@pytest.mark.parametrize("text", ["zzz-nothing", "%", "100%_", "' OR 1=1", "L00001X", "ä" * 300])
def test_what_is_not_there_is_said_plainly(as_operator, session, text):
    answer = as_operator.get("/search", query_string={"q": text})
    assert answer.status_code == 200
    assert "Nothing fits" in answer.text or "Type at least two" in answer.text
