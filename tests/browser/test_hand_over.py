"""A hand-over in a real browser: a note for the next shift, the card at its start, seen."""

import pytest
from playwright.sync_api import expect
from werkzeug.security import generate_password_hash

from app.lots.queries.names import lot_name, operation_code
from tests.browser.accessibility import assert_accessible
from tests.browser.test_station import PIN, StationTablet
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory


@pytest.fixture
def lot(session):
    ShopFactory()
    return make_lot(session, routing=make_routing(operations=2))


def test_what_one_shift_leaves_the_next_one_reads_and_has_seen(session, page, live_server, clock, lot):
    hashed = generate_password_hash(PIN, method="pbkdf2:sha256:1")
    sam, kim = (PersonFactory(name=name, pin_hash=hashed, roles=["operator"]) for name in ("Sam Okafor", "Kim Vale"))
    tablet = StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(lot.operations[0]).id}")
    tablet.sign_on(sam)
    tablet.scan(operation_code(lot.operations[0]))
    expect(page.locator("#board")).to_contain_text("Setting up since")
    page.get_by_role("link", name="Leave a note").click()
    page.get_by_label("Note").fill("Insert 3 chips at the end of the slot")
    tablet.press("Leave it")
    expect(page.get_by_role("status").first).to_contain_text("The note is left.")

    clock.forward(days=1)
    page.goto(tablet.home)
    card = page.locator("#hand-over")
    expect(card).to_contain_text(f"op 10, {lot_name(lot)}: 0 of 50 counted, in set-up")
    expect(card).to_contain_text("Insert 3 chips at the end of the slot")
    tablet.sign_on(kim)
    assert_accessible(page, tablet.home)
    assert_accessible(page, f"{tablet.home}/notes")
    page.goto(tablet.home)
    tablet.press("Seen")
    expect(card).to_be_hidden()
    page.get_by_role("link", name="What the last shift left").click()
    expect(card).to_contain_text("Seen by Kim Vale 09:")
