"""Shipping in a real browser: no barrier on any page, words that follow what is typed, a slip that prints."""

import re
from datetime import date

import pypdfium2
import pytest
from playwright.sync_api import expect

from app.lots.services import hold_lot
from app.orders.models import DueMeans
from app.people.models import Role
from tests.factories.lots import act
from tests.factories.orders import CustomerFactory
from tests.factories.shipping import make_delivery, make_finished_lot, make_revision, make_shipment
from tests.factories.stations import ShopFactory


@pytest.fixture
def delivery(session):
    """Return an order for 50 with a finished lot, a late one beside it, and a lot on hold."""
    ShopFactory()
    revision = make_revision()
    customer = CustomerFactory(address="Receiving, Door 4\n1200 Quarry Road", due_means=DueMeans.DOCK, transit_days=2)
    delivery = make_delivery(revision, customer=customer)
    make_finished_lot(session, revision, (delivery, 50), pieces=53)
    make_delivery(revision, customer=customer, due=date(2026, 1, 6), rush=True)
    hold_lot(session, act(), make_finished_lot(session, revision).id, "porosity")
    session.commit()
    return delivery


def test_the_words_follow_what_is_typed_and_over_asks_for_its_tick(sign_in, page, live_server, delivery):
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/shipments/new/{delivery.line.order.customer_id}")
    for proposed in page.get_by_role("spinbutton").all():
        proposed.fill("")
    order = delivery.line.order.their_number
    pieces = page.get_by_label(re.compile(f"Pieces of lot .* for {order}$")).first
    does = page.get_by_role("region", name="What this does")
    pieces.fill("38")
    pieces.blur()
    expect(does).to_contain_text("12 short of 50")
    expect(does).to_contain_text("the delivery stays open.")
    pieces.fill("53")
    pieces.blur()
    expect(does).to_contain_text("3 over the 50")
    does.get_by_label("The customer was asked and wants the pieces that are over").check()
    expect(does.get_by_role("checkbox")).to_be_checked()
    page.get_by_role("button", name="Record the shipment").click()
    expect(page.get_by_role("heading", name="Shipment 1")).to_be_visible()
    expect(page.get_by_text("agreed with the customer.")).to_be_visible()


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_a_long_slip_prints_on_numbered_pages(session, sign_in, page, live_server, paper):
    ShopFactory()
    revision, customer = make_revision(), CustomerFactory()
    deliveries = [make_delivery(revision, customer=customer) for _ in range(16)]
    lines = [(make_finished_lot(session, revision, (each, 50)), each, 50) for each in deliveries]
    shipment = make_shipment(session, *lines)
    sign_in(Role.OPERATOR)
    page.goto(f"{live_server}/shipments/{shipment.id}/slip")
    document = pypdfium2.PdfDocument(page.pdf(format=paper, prefer_css_page_size=False))
    sheets = [sheet.get_textpage().get_text_bounded() for sheet in document]
    assert len(sheets) == 2
    for number, text in enumerate(sheets, start=1):
        assert f"page {number} of 2" in text
        assert "Your order" in text  # the head of the table comes back on each sheet
    assert "Print\n" not in sheets[0]
    for each in deliveries:
        assert sum(each.line.order.their_number in text for text in sheets) == 1
