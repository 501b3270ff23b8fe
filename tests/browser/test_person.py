"""A badge scanned with a phone leads to a page that says which machine wants hands next."""

import pytest
from playwright.sync_api import expect

from app.lots.services import begin
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory


@pytest.fixture
def sam(session, clock):
    """Return Sam, who has two machines running: one done at 09:30, one at 10:00."""
    ShopFactory()
    sam = PersonFactory(name="Sam Okafor", roles=["operator"])
    for cycle_ms in (72_000, 36_000):
        lot = make_lot(session, routing=make_routing(operations=1, cycle_ms=cycle_ms))
        operation = lot.operations[0]
        begin(session, act(station_id=station_of(operation).id, person_id=sam.id), [operation.id])
    plan_now(session, clock.now)
    return sam


def test_the_badge_leads_there_and_it_keeps_itself_up_to_date(session, page, live_server, clock, sam):
    page.clock.install()
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(f"{live_server}/floor")
    page.get_by_label("Or scan, or type, its code").fill(sam.badge_code)
    page.get_by_role("button", name="Open").click()
    first = page.locator(".calls li").first
    expect(first).to_contain_text("09:30")
    expect(first).to_contain_text("Run done, 50 pieces")
    size = first.locator(".calls__at").evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
    assert size >= 28  # an arm's length: some 20 minutes of arc on a phone (common practice, no source)
    clock.forward(minutes=45)
    with page.expect_response(lambda response: response.request.headers.get("hx-request-type") == "partial"):
        page.clock.fast_forward(26_000)
    expect(first).to_contain_text("now")
    first.get_by_role("link").click()
    expect(page.locator("#board")).to_contain_text("Running since")
