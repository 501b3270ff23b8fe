"""Goods come back in a real browser: from the shipment to a lot of its own, and what is decided about it."""

import pytest
import sqlalchemy as sa
from playwright.sync_api import expect

from app.lots.queries import lot_name
from app.people.models import Role
from app.shipping.models import GoodsReturn, Outcome
from tests.factories.parts import OperationKindFactory, RoutingOperationFactory
from tests.factories.shipping import make_delivery, make_finished_lot, make_revision, make_shipment
from tests.factories.stations import ShopFactory


@pytest.fixture
def shipment(session):
    """A shipment of 40 pieces, in a shop that has an inspection bench."""
    ShopFactory()
    revision = make_revision()
    RoutingOperationFactory(kind=OperationKindFactory(name="Inspection"), number=90)
    delivery = make_delivery(revision)
    return make_shipment(session, (make_finished_lot(session, revision, (delivery, 50)), delivery, 40))


def record(page, live_server, shipment, pieces):
    page.goto(f"{live_server}/shipments/{shipment.id}")
    page.get_by_role("link", name="Some of lot").click()
    page.get_by_label("Pieces").fill(pieces)
    page.get_by_label("Why, as the customer says").fill("bore too small")
    page.get_by_label("Their reference").fill("RMA-7")
    page.get_by_label("10 Step 1").check()
    page.get_by_role("button", name="Record the return").click()


def test_pieces_come_back_are_sent_again_and_stand_in_the_part_s_record(session, sign_in, page, live_server, shipment):
    sign_in(Role.SETUP_LEAD)
    record(page, live_server, shipment, "41")
    expect(page.get_by_text("40 of them have not come back yet: enter that many or fewer.").first).to_be_visible()
    expect(page.get_by_label("Their reference")).to_have_value("RMA-7")
    expect(page.get_by_label("10 Step 1")).to_be_checked()
    page.get_by_label("Pieces").fill("10")
    page.get_by_role("button", name="Record the return").click()
    expect(page.get_by_text("10 pieces undecided")).to_be_visible()
    page.get_by_label("Send again, reworked or replaced").check()
    page.get_by_label("Pieces").fill("6")
    page.get_by_role("button", name="Keep the decision").click()
    expect(page.get_by_text("Enter the day that was agreed for sending them again.").first).to_be_visible()
    page.get_by_label("Sent again, due").fill("2026-01-20")
    page.get_by_role("button", name="Keep the decision").click()
    expect(page.get_by_text("4 pieces undecided")).to_be_visible()
    session.rollback()
    returned = session.scalars(sa.select(GoodsReturn)).one()
    assert [(each.outcome, each.pieces) for each in returned.decisions] == [(Outcome.SHIP_AGAIN, 6)]
    page.get_by_role("link", name="the delivery that sends them").click()
    expect(page.get_by_text("Sent again for goods that came back.")).to_be_visible()
    expect(page.get_by_role("region", name="Lots that it touches")).to_contain_text(lot_name(returned.lot))
    page.goto(f"{live_server}/parts/{returned.lot.revision.part_id}")
    expect(page.get_by_role("region", name="Came back from customers")).to_contain_text("bore too small")
    page.goto(f"{live_server}/lots/{returned.lot_id}/traveler")
    expect(page.get_by_text("Inspect what came back").first).to_be_visible()
