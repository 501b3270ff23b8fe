"""The customer changes their mind: from the change page to the lots, on record, in a real browser."""

import pytest
from playwright.sync_api import expect

from app.lots.services import SignOff, sign_off
from app.orders.models import Agreed
from app.orders.queries import agreements_of
from app.people.models import Role
from tests.factories.lots import act, make_ordered_lot
from tests.factories.orders import DeliveryFactory
from tests.factories.stations import ShopFactory


@pytest.fixture
def lot(session):
    """A lot of 50 for one delivery, 20 of them through the first operation."""
    ShopFactory()
    lot = make_ordered_lot(session, order__their_number="BW-77")
    sign_off(session, act(), [SignOff(lot.operations[0].id, 20)])
    session.commit()
    return lot


def test_fewer_pieces_then_none_and_what_becomes_of_the_lot(session, sign_in, page, live_server, lot):
    delivery_id, order_id = lot.deliveries[0].delivery_id, lot.deliveries[0].delivery.line.order_id
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/orders/{order_id}")
    page.get_by_role("link", name="Change", exact=True).last.click()
    touched = page.get_by_role("region", name="Lots that it touches")
    expect(touched).to_contain_text("30 wait at 10 · 20 wait at 20")
    page.get_by_label("Quantity").fill("40")
    page.get_by_label("Who agreed at the customer").fill("Ms Ito")
    page.get_by_role("button", name="Keep what was agreed").click()
    expect(touched).to_contain_text("10 pieces more than wanted")
    expect(touched.get_by_label("Pieces (empty: all that can be)")).to_have_value("10")
    touched.get_by_role("button", name="Finish for stock").click()
    expect(touched).to_contain_text("All pieces are there or in work")
    page.get_by_label("Why it is cancelled").fill("their line is stopped")
    page.get_by_label("Who said so at the customer").fill("Mr Osei")
    page.get_by_role("button", name="Cancel this delivery").click()
    expect(touched).to_contain_text("40 pieces that nobody waits for")
    touched.get_by_role("button", name="Stop: whole lot on hold").click()
    expect(touched).to_contain_text("On hold")
    expect(page.get_by_role("region", name="What was agreed, and when").first).to_contain_text("Mr Osei")
    session.rollback()
    assert lot.hold_reason == "customer cancelled"
    assert [each.what for each in agreements_of(session, delivery_id)] == [Agreed.CHANGED, Agreed.CANCELLED]


def test_a_standing_order_is_called_off(session, sign_in, page, live_server):
    ShopFactory()
    delivery = DeliveryFactory(quantity=40)
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/orders/{delivery.line.order_id}")
    page.get_by_role("link", name="Price, rush, standing order").click()
    page.get_by_label("Standing order for, in all").fill("100")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Standing order for 100: 40 called off, 60 remain.")).to_be_visible()
    page.get_by_role("link", name="Call off").click()
    page.get_by_label("Quantity").fill("70")
    page.get_by_label("Due").fill("2026-03-02")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Only 60 of the standing order's 100 are not called off yet.").first).to_be_visible()
    expect(page.get_by_label("Quantity")).to_have_value("70")
    page.get_by_label("The customer agreed to a higher total").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Standing order for 110: 110 called off, 0 remain.")).to_be_visible()
