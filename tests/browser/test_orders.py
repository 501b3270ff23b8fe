"""Taking orders and receiving material in a real browser."""

import pytest
import sqlalchemy as sa
from playwright.sync_api import expect

from app.orders.models import CustomerOrder
from app.people.models import Role
from tests.factories.lots import make_routing
from tests.factories.material import ReceiptFactory
from tests.factories.orders import DeliveryFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory


@pytest.fixture
def delivery(session):
    """An order of a part that has a routing, with blanks at hand."""
    ShopFactory()
    revision = make_routing().revision
    ReceiptFactory(revision=revision, pieces=500)
    return DeliveryFactory(line__revision=revision, line__order__customer__name="Brightwater Pumps", quantity=50)


def test_a_repeat_order_is_a_printed_traveler_after_six_interactions(session, sign_in, page, live_server, delivery):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/parts/{delivery.line.revision.part_id}")
    page.get_by_role("link", name="Order again").click()
    page.get_by_label("Their order number").fill("BW-99")
    page.get_by_label("Quantity").fill("70")
    page.get_by_label("Due", exact=True).fill("2026-03-02")
    page.get_by_role("button", name="Save and release").click()
    page.get_by_role("button", name="Release and print the traveler").click()
    page.wait_for_url("**/traveler*")
    expect(page.get_by_text("BW-99").first).to_be_visible()
    session.rollback()
    order = session.scalars(sa.select(CustomerOrder).where(CustomerOrder.their_number == "BW-99")).one()
    assert order.customer.name == "Brightwater Pumps"
    assert order.lines[0].deliveries[0].quantity == 70


def test_rows_come_and_go_without_leaving_the_page_and_keep_what_is_typed(
    session, sign_in, page, live_server, delivery
):
    part = delivery.line.revision.part
    RevisionFactory(part=part, label="Z", current=False)
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/orders/new")
    page.get_by_label("Customer", exact=True).fill("Brightwater Pumps")
    page.get_by_label("Part", exact=True).fill(part.number)
    page.get_by_label("Part", exact=True).press("Tab")
    expect(page.locator("#lines-0-part-known")).to_contain_text(part.name)
    page.get_by_label("Revision").select_option("Z")
    page.get_by_label("Quantity").fill("50")
    page.get_by_label("Due", exact=True).fill("2026-03-02")
    page.get_by_role("button", name="Another delivery of line 1").click()
    second = page.get_by_role("group", name="Delivery 2 of line 1")
    expect(second.get_by_label("Due")).to_be_focused()
    expect(second.get_by_label("Quantity")).to_have_value("50")
    page.get_by_role("button", name="Another line").click()
    expect(page.get_by_label("Part", exact=True).nth(1)).to_be_focused()
    page.get_by_role("button", name="Remove line 2").click()
    expect(page.get_by_label("Part", exact=True)).to_have_count(1)
    expect(page.get_by_label("Revision")).to_have_value("Z")
    expect(page.get_by_label("Customer", exact=True)).to_have_value("Brightwater Pumps")
    assert page.url == f"{live_server}/orders/new"


def test_the_promise_is_asked_for_as_soon_as_a_row_is_complete_and_again_when_it_changes(
    sign_in, page, live_server, delivery
):
    sign_in(Role.OWNER)
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/schedule/promise" in request.url else None)
    page.goto(f"{live_server}/orders/new?part={delivery.line.revision.part_id}")
    said = page.locator("#lines-0-deliveries-0-promise")
    page.get_by_label("Due", exact=True).fill("2026-03-02")
    expect(said).not_to_contain_text("show when it could be finished")
    page.get_by_label("Quantity").fill("5000")
    page.get_by_label("Quantity").press("Tab")
    page.wait_for_function("() => document.querySelector('#lines-0-deliveries-0-promise')")
    page.wait_for_load_state("networkidle")
    wanted = f"revision_id={delivery.line.revision_id}&quantity=5000&due=2026-03-02&target=lines-0-deliveries-0-promise"
    assert any(wanted in address for address in asked)
    expect(said).to_have_count(1)


def test_without_scripts_rows_and_orders_work_as_well(session, sign_in, browser, context, live_server, delivery):
    sign_in(Role.OWNER)
    plain = browser.new_context(java_script_enabled=False, storage_state=context.storage_state())
    page = plain.new_page()
    page.goto(f"{live_server}/orders/new?part={delivery.line.revision.part_id}")
    page.get_by_role("button", name="Another delivery of line 1").click()
    page.get_by_label("Their order number").fill("BW-98")
    for row, day in ((1, "2026-03-02"), (2, "2026-04-02")):
        page.get_by_role("group", name=f"Delivery {row} of line 1").get_by_label("Due").fill(day)
    page.get_by_label("Their order number").press("Enter")
    expect(page.get_by_role("heading", name="Order BW-98")).to_be_visible()
    plain.close()
    session.rollback()
    order = session.scalars(sa.select(CustomerOrder).where(CustomerOrder.their_number == "BW-98")).one()
    assert [each.quantity for each in order.lines[0].deliveries] == [50, 50]
