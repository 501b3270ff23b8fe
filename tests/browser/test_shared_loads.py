"""Two jobs on one pallet in a real browser: collected by scanning, begun together, ended by one form."""

import pytest
from playwright.sync_api import expect

from app.lots.models import Lot
from app.lots.queries.names import lot_name, operation_code
from app.parts.models import Taking
from tests.browser.accessibility import assert_accessible
from tests.browser.test_station import StationTablet, sam  # noqa: F401 - a fixture
from tests.factories.lots import make_lot, make_routing, station_of, whereabouts
from tests.factories.schedule import plan_now, runs_of
from tests.factories.stations import ShopFactory


@pytest.fixture
def lots(session) -> list[Lot]:
    """Return lots of two parts, 8 and 4 of which fill a pallet of the same station."""
    ShopFactory()
    routings = [make_routing(operations=2, taking=Taking.LOAD, load_pieces=most, setup_seconds=0) for most in (8, 4)]
    routings[1].operations[0].work_center = routings[0].operations[0].work_center
    session.commit()
    return [make_lot(session, pieces=20, routing=each) for each in routings]


@pytest.fixture
def tablet(page, live_server, clock, lots, sam) -> StationTablet:  # noqa: F811 - a fixture
    home = f"{live_server}/floor/stations/{station_of(lots[0].operations[0]).id}"
    made = StationTablet(page, clock, home)
    made.sign_on(sam)
    return made


def test_two_lots_share_a_pallet_and_end_by_one_form(session, tablet, lots, clock):
    page, (one, two) = tablet.page, [lot.operations[0] for lot in lots]
    page.get_by_role("link", name="Collect a load").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Collect a load")
    expect(page.locator("[data-scan-ready]")).to_be_visible()
    for lot, said in zip(lots, ("1 lot collected", "2 lots collected"), strict=True):
        tablet.scan(lot_name(lot))
        expect(page.locator("main")).to_contain_text(said)
    expect(page.locator("main")).to_contain_text("6 pieces, the load is 100 % full")
    page.get_by_label(f"Pieces of lot {lot_name(lots[1])} in this load").fill("3")
    tablet.press("Begin the load")
    expect(page.get_by_role("alert")).to_contain_text(
        "Together 7 pieces: more than the places of one load. Take fewer."
    )
    expect(page.get_by_label(f"Pieces of lot {lot_name(lots[1])} in this load")).to_have_value("3")
    page.get_by_label(f"Pieces of lot {lot_name(lots[1])} in this load").fill("1")
    tablet.press("Begin the load")
    expect(page.locator("#board")).to_contain_text("One load of 2 lots")
    session.rollback()
    plan_now(session, clock.now)
    ends = {run.end_at for lot in lots for run in runs_of(session, lot) if run.under_way}
    assert len(ends) == 1

    tablet.scan(operation_code(two))
    expect(page.get_by_role("heading", level=1)).to_have_text("Done: one load of 2 lots")
    expect(page.get_by_label("Good pieces")).to_have_count(2)
    tablet.press("Sign off")
    expect(page.get_by_role("status").first).to_contain_text("4 good")
    session.rollback()
    assert whereabouts(lots[0]) == {"10 waiting": 16, "20 waiting": 4}
    assert whereabouts(lots[1]) == {"10 waiting": 19, "20 waiting": 1}
    assert one.passed == 4


def test_a_lot_larger_than_a_load_is_signed_off_load_by_load(session, tablet, lots):
    page, first = tablet.page, lots[0].operations[0]
    tablet.scan(operation_code(first))
    expect(page.locator("#board")).to_contain_text("load 1 of 3, 8 pieces")
    tablet.scan(operation_code(first))
    expect(page.get_by_label("Good pieces")).to_have_value("8")
    tablet.press("Sign off")
    expect(page.locator("#board")).to_contain_text("load 2 of 3, 8 pieces")
    tablet.scan(operation_code(first))
    page.get_by_role("link", name="All 12 are done").click()
    expect(page.get_by_label("Good pieces")).to_have_value("12")
    tablet.press("Sign off")
    expect(page.locator("#board")).to_contain_text("Nothing runs here")
    session.rollback()
    assert whereabouts(lots[0]) == {"20 waiting": 20}


def test_no_page_of_a_shared_load_is_a_barrier(tablet, lots):
    ids = [lot.operations[0].id for lot in lots]
    address = f"{tablet.home}/load?operations={ids[0]}&operations={ids[1]}"
    assert_accessible(tablet.page, address)
    tablet.page.goto(address)
    tablet.press("Begin the load")
    expect(tablet.page.locator("#board")).to_contain_text("One load of 2 lots")
    for path in ("", f"/operations/{ids[0]}/done"):
        assert_accessible(tablet.page, tablet.home + path)
