"""A forgotten sign-off, from the morning review to the books in one step."""

from datetime import UTC, datetime

import pytest
from playwright.sync_api import expect

from app.lots.services import begin
from app.people.models import Role
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import act, make_lot, station_of, whereabouts
from tests.factories.stations import ShopFactory

RELEASED = datetime(2026, 1, 5, 14, 0, tzinfo=UTC)
BEGUN = datetime(2026, 1, 6, 14, 0, tzinfo=UTC)
"""Tuesday 08:00 in the shop; the present is Wednesday 09:00."""


@pytest.fixture
def lot(session):
    ShopFactory()
    lot = make_lot(session, pieces=30, when=RELEASED)
    first = lot.operations[0]
    begin(session, act(happened_at=BEGUN, recorded_at=BEGUN, station_id=station_of(first).id), [first.id])
    session.commit()
    return lot


def test_a_setup_lead_says_about_when_it_was_finished(session, sign_in, page, live_server, lot):
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/review")
    missing = page.locator("#forgotten")
    expect(missing).to_contain_text("13 h of open hours, planned 1 h 30 min")
    missing.get_by_role("link", name="Say when it was finished").click()
    expect(page.get_by_label("Finished at about")).to_have_value("2026-01-06T09:30")
    expect(page.get_by_label("Good pieces")).to_have_value("30")
    page.get_by_label("Good pieces").fill("29")
    page.locator("#mend-scrap").fill("1")
    page.get_by_role("button", name="Sign off as an estimate").click()
    expect(page.get_by_role("alert")).to_contain_text("Say why")
    expect(page.get_by_label("Good pieces")).to_have_value("29")
    page.get_by_label("Why scrap").fill("dropped")
    page.get_by_role("button", name="Sign off as an estimate").click()
    page.wait_for_url("**/review#forgotten")
    expect(page.get_by_text("It is signed off, as an estimate.")).to_be_visible()
    expect(page.locator("#forgotten")).to_contain_text("Nothing is open for longer than believable")
    session.rollback()
    assert whereabouts(lot) == {"10 scrapped": 1, "20 waiting": 29}
    page.goto(f"{live_server}/lots/{lot.id}")
    expect(page.get_by_text("which its times leave out")).to_be_visible()
    page.wait_for_load_state("networkidle")  # the lot's page asks for its parts


def test_the_pages_are_no_barrier_to_anyone(session, sign_in, page, live_server, lot):
    sign_in(Role.OWNER)
    first = lot.operations[0]
    for path in ("/review", f"/floor/operations/{first.id}/estimates?station={station_of(first).id}"):
        assert_accessible(page, live_server + path)
