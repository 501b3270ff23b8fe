"""A station goes down, in a real browser: one tap with a guess, lots sent on, asked again, and it runs."""

import pytest
import sqlalchemy as sa
from playwright.sync_api import expect
from werkzeug.security import generate_password_hash

from app.lots.models import Job, JobState, LotOperation
from app.lots.queries.names import lot_name, operation_code
from app.people.models import Role
from app.stations.models import Downtime
from tests.browser.accessibility import assert_accessible
from tests.browser.test_station import PIN, StationTablet
from tests.conftest import signed_in
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.schedule import forecast_of, plan_now
from tests.factories.stations import ShopFactory, StationFactory


@pytest.fixture
def lots(session):
    """Return two lots of the same first operation, which a second station can do as well."""
    ShopFactory()
    routing = make_routing(operations=2)
    found = [make_lot(session, routing=routing) for _ in range(2)]
    StationFactory(name="Tall mill", work_center=found[0].operations[0].work_center)
    return found


@pytest.fixture
def tablet(session, page, live_server, clock, lots):
    sam = PersonFactory(
        name="Sam Okafor", pin_hash=generate_password_hash(PIN, method="pbkdf2:sha256:1"), roles=["operator"]
    )
    made = StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(lots[0].operations[0]).id}")
    made.sign_on(sam)
    return made


def test_down_with_a_guess_lots_sent_on_asked_again_and_it_runs(session, tablet, lots, clock, sign_in, live_server):
    page, (running, waiting) = tablet.page, lots
    tablet.scan(operation_code(running.operations[0]))
    expect(page.locator("#board")).to_contain_text("Setting up since")
    plan_now(session, clock.now)
    before = forecast_of(session, waiting).finish_at

    page.get_by_role("link", name="Station is down").click()
    page.get_by_label("Next morning").check()
    tablet.press("Broke down")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Lots behind")
    session.rollback()
    assert session.scalars(sa.select(Job.state)).one() is JobState.PAUSED

    page.get_by_role("button", name=f"To Tall mill {lot_name(waiting)}").click()
    expect(page.get_by_role("status").first).to_contain_text("goes to Tall mill. The forecast follows in a moment.")
    session.rollback()
    assert session.get_one(LotOperation, waiting.operations[0].id).sent_to.name == "Tall mill"
    plan_now(session, clock.now)
    assert forecast_of(session, waiting).finish_at < before  # it no longer waits for the one before it


def test_the_review_asks_again_when_the_guess_has_passed_and_it_runs(session, tablet, clock, sign_in, live_server):
    page = tablet.page
    page.goto(f"{tablet.home}/downtimes")
    tablet.press("Broke down")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Lots behind")
    clock.forward(days=1)
    session.rollback()
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/review")
    page.get_by_role("link", name="Does it run?").click()
    page.get_by_label("In 1 hour").check()
    tablet.press("Not yet: expect it then")
    expect(page.locator("#board")).to_contain_text("Back about")
    clock.forward(hours=2)
    page.reload()
    expect(page.locator("#board")).to_contain_text("Does it run?")
    page.goto(f"{tablet.home}/guesses?office=1")
    tablet.press("It runs again")
    expect(page.get_by_role("status").first).to_contain_text("The station runs again.")
    session.rollback()
    assert not session.scalars(sa.select(Downtime.end_is_guess)).one()


def test_enter_in_the_reason_sends_no_lot_anywhere(session, tablet, lots):
    page = tablet.page
    page.goto(f"{tablet.home}/lots-behind")
    page.get_by_label("Why they go elsewhere").fill("spindle is hot")
    page.get_by_label("Why they go elsewhere").press("Enter")
    page.wait_for_url("**reason=spindle**")
    expect(page.get_by_label("Why they go elsewhere")).to_have_value("spindle is hot")
    session.rollback()
    assert set(session.scalars(sa.select(LotOperation.sent_to_station_id))) == {None}


def test_no_page_of_a_station_that_is_down_is_a_barrier(tablet, lots, clock):
    tablet.page.goto(f"{tablet.home}/downtimes")
    tablet.press("Broke down")
    tablet.page.get_by_role("button", name=f"To Tall mill {lot_name(lots[0])}").click()
    expect(tablet.page.get_by_role("heading", name="Sent to other stations", exact=False)).to_be_visible()
    clock.forward(hours=2)
    for path in ("", "/downtimes", "/lots-behind", "/guesses"):
        assert_accessible(tablet.page, tablet.home + path)


def test_a_service_is_planned_in_the_office_announced_at_the_station_and_done(session, tablet, lots, clock, app):
    here = station_of(lots[0].operations[0])
    session.rollback()
    office = signed_in(app, session, "owner")
    planned = {"name": "Grease the ways", "every": "7", "unit": "days", "takes": "60", "last_done": "2026-01-05"}
    assert office.post(f"/floor/stations/{here.id}/services", data=planned).status_code == 303
    plan_now(session, clock.now)
    page = tablet.page
    page.goto(tablet.home)
    expect(page.locator("#board")).to_contain_text("Grease the ways falls due Mon 12 Jan.")
    page.get_by_role("link", name="See, or say it is done").click()
    assert_accessible(page, page.url)
    page.get_by_role("button", name="Service done Grease the ways").click()
    expect(page.get_by_role("status").first).to_contain_text("Grease the ways is recorded as done.")
    page.goto(tablet.home)
    expect(page.locator("#board")).not_to_contain_text("Grease the ways")
