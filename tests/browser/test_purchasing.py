"""Ordering and issuing blanks in a real browser."""

import pytest
from playwright.sync_api import expect

from app.lots.models import Lot
from app.parts.models import BlankForm
from app.people.models import Role
from tests.factories.lots import whereabouts
from tests.factories.purchasing import make_blank, make_blank_order, make_waiting_lot
from tests.factories.stations import ShopFactory


@pytest.fixture
def blank(session):
    ShopFactory()
    return make_blank()


def test_a_partial_delivery_for_two_lots_takes_five_interactions(session, sign_in, page, live_server, blank):
    lots = [make_waiting_lot(session, blank).id for _ in range(2)]
    make_blank_order(session, blank, *((session.get_one(Lot, lot), 30) for lot in lots))
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/purchasing")
    page.get_by_role("link", name="Receive").click()
    page.get_by_label("Good pieces", exact=True).fill("45")
    page.get_by_label("Heat number").fill("7K2214")
    page.get_by_role("button", name="Receive and issue to lots").click()
    page.get_by_role("button", name="Issue", exact=True).click()
    expect(page.get_by_text("45 blanks issued: they may begin.")).to_be_visible()
    session.rollback()
    assert [whereabouts(session.get_one(Lot, lot)) for lot in lots] == [
        {"10 waiting": 30},
        {"5 waiting": 15, "10 waiting": 15},
    ]


def test_blanks_that_are_ticked_are_ordered_together(session, sign_in, page, live_server, blank):
    other = make_blank(form=BlankForm.BAR)
    for each in (blank, other):
        make_waiting_lot(session, each)
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/purchasing")
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_role("button", name="Order the chosen ones together").click()
    page.get_by_label("Vendor", exact=True).fill("Nettle Steel")
    page.get_by_role("button", name="Order", exact=True).click()
    expect(page.get_by_text("There is no vendor called Nettle Steel yet.")).to_be_visible()
    page.get_by_label("New vendor").check()
    page.get_by_role("button", name="Order", exact=True).click()
    expect(page.get_by_role("heading", name="Order from Nettle Steel")).to_be_visible()
    expect(page.get_by_text("4 plates, 30 pieces").or_(page.get_by_text("4 plates, 36 pieces"))).to_be_visible()
