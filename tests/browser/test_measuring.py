"""Measuring in a real browser: a gauge that types wherever the focus is, big keys, a slip that is questioned."""

from datetime import timedelta

import pytest
import sqlalchemy as sa
from playwright.sync_api import Page, expect

from app.floor.models import SignOn
from app.lots.services import begin
from app.quality.models import Nonconformance, Reading
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.quality import CharacteristicFactory
from tests.factories.stations import ShopFactory


@pytest.fixture
def measuring(session, page: Page, live_server, clock) -> Page:
    ShopFactory()
    routing = make_routing()
    CharacteristicFactory(revision=routing.revision, number=1)
    lot = make_lot(session, pieces=6, routing=routing)
    station = station_of(lot.operations[0])
    before = clock.now - timedelta(minutes=9)
    session.add(SignOn(station_id=station.id, person_id=PersonFactory().id, begun_at=before, seen_at=clock.now))
    session.commit()
    begin(session, act(station_id=station.id, happened_at=clock.now, recorded_at=clock.now), [lot.operations[0].id])
    page.goto(f"{live_server}/floor/stations/{station.id}/operations/{lot.operations[0].id}/readings")
    return page


def gauge_types(page: Page, value: str) -> None:
    """Send a value as a gauge does that pretends to be a keyboard: a burst of keys that ends with Enter."""
    for key in value:
        page.keyboard.press(key)
    page.keyboard.press("Enter")


def test_a_gauge_types_a_hand_taps_and_a_slip_is_questioned(session, measuring):
    expect(measuring.get_by_label("Reading", exact=True)).to_be_focused()
    measuring.get_by_role("heading", level=1).click()  # the focus is nowhere
    measuring.evaluate("document.activeElement.blur()")
    gauge_types(measuring, "0.5002")
    expect(measuring.locator(".reading")).to_contain_text("0.5002 in good")
    pad = measuring.get_by_role("group", name="Number keys")
    measuring.get_by_label("the deviation, in the last place").check()
    for key in ("Minus", "4"):
        pad.get_by_role("button", name=key, exact=True).click()
    measuring.get_by_role("button", name="Keep the reading").click()
    expect(measuring.locator(".reading")).to_contain_text("0.4996 in good")
    gauge_types(measuring, "5.001")
    expect(measuring.get_by_text("Is that right?")).to_be_visible()
    measuring.get_by_label("Reading", exact=True).fill("0.5008")
    measuring.get_by_role("button", name="Keep the reading").click()
    expect(measuring.locator(".suspects")).to_contain_text("Stop. Call the setup lead.")
    assert_accessible(measuring, measuring.url)
    session.rollback()
    assert session.scalars(sa.select(Reading.typed).order_by(Reading.id)).all() == ["0.5002", "0.4996", "0.5008"]
    assert session.scalars(sa.select(sa.func.count(Nonconformance.id))).one() == 1
