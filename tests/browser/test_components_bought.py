"""A lot that waits for a bought component: it is seen, ordered with the blanks, received, and the lot goes on."""

from datetime import date

import pytest
from playwright.sync_api import expect

from app.people.models import Role
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import MORNING, make_lot, make_routing
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory
from tests.factories.purchasing import make_blank, make_waiting_lot
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory


@pytest.fixture
def lot(session):
    ShopFactory()
    pin = PartFactory(number="PIN-6", name="Dowel pin")
    RevisionFactory(part=pin, blank="")
    routing = make_routing(operations=2)
    routing.revision.components = [ComponentFactory.build(part=pin, operation_number=20, per_piece=2)]
    session.commit()
    return make_lot(session, pieces=50, routing=routing, due_on=date(2026, 1, 6))


def test_a_component_is_ordered_with_blanks_and_the_lot_goes_on(session, sign_in, page, live_server, lot):
    make_waiting_lot(session, make_blank())
    plan_now(session, MORNING)
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/review")
    expect(page.get_by_text("Waiting for component PIN-6 at operation 20: nothing ordered")).to_be_visible()
    page.goto(f"{live_server}/purchasing")
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_role("button", name="Order the chosen ones together").click()
    page.get_by_label("Vendor", exact=True).fill("Nettle Fasteners")
    page.get_by_label("New vendor").check()
    page.get_by_role("button", name="Order", exact=True).click()
    expect(page.get_by_role("heading", name="Order from Nettle Fasteners")).to_be_visible()
    expect(page.get_by_text("100 of PIN-6")).to_be_visible()
    page.get_by_role("link", name="Receive").nth(1).click()
    page.get_by_role("button", name="Receive and issue to lots").click()
    expect(page.get_by_text("it stays at hand until it is scanned")).to_be_visible()
    plan_now(session, MORNING)
    page.goto(f"{live_server}/lots/{lot.id}")
    expect(page.get_by_text("On its way").or_(page.get_by_text("Late"))).to_be_visible()


def test_no_page_about_components_is_a_barrier(session, sign_in, page, live_server, lot):
    plan_now(session, MORNING)
    sign_in(Role.OWNER)
    part_id = lot.operations[1].components[0].part_id
    for path in ("/purchasing", f"/purchasing/orders/new?part={part_id}", f"/schedule/lots/{lot.id}"):
        assert_accessible(page, f"{live_server}{path}")
