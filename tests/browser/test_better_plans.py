"""What the planner does on request, in a real browser: it looks for a better order, and answers what people ask.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

from datetime import date

import pytest
import sqlalchemy as sa
from playwright.sync_api import expect

from app.people.models import Role
from app.schedule.models import OperationRank
from app.schedule.planner import Planner
from app.stations.models import Overtime
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import make_lot
from tests.factories.material import ReceiptFactory
from tests.factories.schedule import plan_now, routing_of, single
from tests.factories.stations import ShopFactory


@pytest.fixture
def late(session, sign_in):
    """At each of two stations a long lot goes first by its due date and makes two short ones late."""
    ShopFactory()
    found = []
    for _ in range(2):
        long, *short = (routing_of(single(minutes)) for minutes in (360, 12, 12))
        found.append(make_lot(session, pieces=10, routing=long, due_on=date(2026, 1, 8)))
        for routing in short:
            routing.operations[0].work_center = long.operations[0].work_center
            session.commit()
            found.append(make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 9)))
    sign_in(Role.OWNER)
    return found


@pytest.fixture
def planner(session, clock):
    """A planner that wakes when the test says so, and searches with few moves."""
    made = Planner(session.get_bind(), holder="browser", clock=lambda: clock.now)
    made.searching = type(made.searching)(session.get_bind(), "browser", made.chancing.history, moves=400)
    yield made
    made.searching.wait()
    made.leave()


def answer(planner):
    planner.wake()
    planner.answering.wait()
    planner.wake()


def test_a_search_is_followed_stopped_and_its_proposal_accepted_in_part(
    session, page, live_server, clock, late, planner
):
    plan_now(session, clock.now)
    page.goto(f"{live_server}/schedule/order")
    page.get_by_role("button", name="Look for a better order").click()
    expect(page.locator("#order")).to_contain_text("The planner begins to search in a moment.")
    planner.wake()
    expect(page.locator("#order")).to_contain_text("of the time is spent")
    expect(page.get_by_role("progressbar")).to_be_visible()
    page.get_by_role("button", name="Stop and keep the best").click()
    expect(page.get_by_role("button", name="Stop and keep the best")).to_be_disabled()
    planner.searching.tend(clock.now, planner.replayer)
    planner.searching.wait()
    planner.searching.tend(clock.now, planner.replayer)
    expect(page.get_by_role("heading", name="Proposed")).to_be_visible()
    assert_accessible(page, page.url)
    first, second = page.get_by_role("region", name="What changes at each station").get_by_role("checkbox").all()
    second.uncheck()
    station_id = int(first.get_attribute("value"))
    page.get_by_role("button", name="Accept the ticked stations").click()
    expect(page.get_by_text("The plan is in force.")).to_be_visible()
    expect(page.locator("#order")).to_contain_text("3 operations have their place by it.")
    session.rollback()
    assert set(session.scalars(sa.select(OperationRank.station_id))) == {station_id}


def test_remedies_and_a_what_if_are_answered_where_they_are_asked_and_one_is_done(
    session, page, live_server, clock, late, planner
):
    plan_now(session, clock.now)
    page.goto(f"{live_server}/schedule/remedies")
    page.get_by_role("button", name="Try what would help all late lots").click()
    expect(page.locator("#remedies")).to_contain_text("The planner tries what could help")
    answer(planner)
    expect(page.locator("#remedies")).to_contain_text("lots are late")
    assert_accessible(page, page.url)
    page.get_by_role("row", name="works overtime").first.get_by_role("button").click()
    expect(page.get_by_text("Done. The forecast follows in a moment.")).to_be_visible()
    session.rollback()
    assert session.scalars(sa.select(Overtime.reason)).one() == "Against late lots"

    page.goto(f"{live_server}/schedule/what-if")
    page.get_by_text("the shop were closed on a day").first.click()
    page.get_by_label("Closed on").fill("2026-01-08")
    page.get_by_role("button", name="the shop were closed on a day").click()
    answer(planner)
    expect(page.get_by_role("heading", name="If the shop were closed on Thu 8 Jan")).to_be_visible()
    expect(page.locator("#what-if")).to_contain_text("would become")
    assert_accessible(page, page.url)


def test_how_sure_a_date_is_stands_where_the_order_is_typed(session, page, live_server, clock, late, planner):
    plan_now(session, clock.now)
    revision = late[1].revision
    ReceiptFactory(revision=revision, pieces=50)
    page.goto(f"{live_server}/orders/new?part={revision.part_id}")
    page.get_by_label("Quantity").fill("10")
    page.get_by_label("Due", exact=True).fill("2026-01-12")
    page.get_by_label("Due", exact=True).press("Tab")
    page.get_by_role("button", name="How sure is that?").click()
    said = page.locator("#lines-0-deliveries-0-promise")
    expect(said).to_contain_text("The planner is reckoning")
    answer(planner)
    expect(said).to_contain_text("percent sure by")
    expect(said).to_contain_text("If moved to the front:")
