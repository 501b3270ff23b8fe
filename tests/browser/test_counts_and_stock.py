"""A count that does not agree, the delivery that comes short because of it, and the stock that fills it."""

import pytest
from playwright.sync_api import expect

from app.lots.services import Share, SignOff, sign_off
from app.people.models import Role
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import act, make_lot, make_routing
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.stations import ShopFactory


@pytest.fixture
def delivery(session):
    """A delivery of 40 with a lot of 40 made for it, and 9 finished pieces of an earlier lot in stock."""
    ShopFactory()
    routing = make_routing()
    earlier = make_lot(session, pieces=9, routing=routing)
    for operation in earlier.operations:
        sign_off(session, act(), [SignOff(operation.id, 9)])
    line = OrderLineFactory(revision=routing.revision, order__their_number="KT-31", order__customer__name="Kiln Trade")
    delivery = DeliveryFactory(line=line, quantity=40)
    make_lot(session, pieces=40, routing=routing, shares=(Share(delivery.id, 40),))
    return delivery


def test_missing_pieces_are_told_at_once_and_stock_fills_the_delivery(session, sign_in, page, live_server, delivery):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/orders/{delivery.line.order_id}")
    expect(page.get_by_text("All pieces are there or in work")).to_be_visible()
    page.locator("#cover").get_by_role("link", name="L000").first.click()

    page.get_by_text("The count does not agree").click()
    form = page.locator("form[action$='/recounts']")
    form.get_by_label("Where").select_option(index=0)
    form.get_by_label("Pieces really there").fill("40")
    form.get_by_label("Why they differ").fill("three fell into the chip bin")
    form.get_by_role("button", name="Put the books right").click()
    expect(page.get_by_text("The books say 40 too")).to_be_visible()
    form.get_by_label("Pieces really there").fill("37")
    form.get_by_role("button", name="Put the books right").click()
    expect(page.locator("#ledger").locator("..")).to_contain_text("three fell into the chip bin")

    page.goto(f"{live_server}/review")
    expect(page.get_by_text("3 pieces short")).to_be_visible()
    page.get_by_role("link", name="What can be done").click()
    expect(page.get_by_text("9 finished pieces in stock are free.")).to_be_visible()
    assert_accessible(page, page.url)
    page.get_by_role("spinbutton").or_(page.get_by_label("9 free, of which")).first.fill("10")
    page.get_by_role("button", name="Use for this delivery").click()
    expect(page.get_by_text("9 pieces of lot").first).to_be_visible()
    page.get_by_label("9 free, of which").fill("3")
    page.get_by_role("button", name="Use for this delivery").click()
    expect(page.get_by_text("All pieces are there or in work")).to_be_visible()

    page.goto(f"{live_server}/review")
    expect(page.get_by_text("pieces short")).to_have_count(0)


def test_a_new_order_is_offered_what_is_free(session, sign_in, page, live_server, delivery):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/orders/new")
    page.get_by_label("Customer", exact=True).fill("Kiln Trade")
    page.get_by_label("Their order number").fill("KT-32")
    page.get_by_label("Part", exact=True).fill(delivery.line.revision.part.number)
    page.get_by_label("Quantity").fill("5")
    page.get_by_label("Due", exact=True).fill("2026-03-02")
    page.get_by_label("Due", exact=True).press("Tab")
    expect(page.get_by_text("5 are finished in stock and free")).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Use for this delivery").click()
    expect(page.get_by_text("All pieces are there or in work")).to_be_visible()
