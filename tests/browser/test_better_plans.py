"""What the planner does on request, in a real browser: it looks for a better order, and answers what people ask.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

from datetime import date

import pytest
import sqlalchemy as sa
from playwright.sync_api import expect

from app.lots.queries import lot_name
from app.people.models import Role
from app.schedule.models import OperationRank
from app.schedule.planner import Planner
from app.stations.models import Overtime
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import make_lot, station_of
from tests.factories.material import MaterialOrderLineFactory, ReceiptFactory
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


def follow_a_search(page, clock, planner):
    """Have the planner search, watch it, and stop it."""
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


def runs_at(page, live_server, station_id):
    """Return the lots of a station as its page lists them."""
    page.goto(f"{live_server}/schedule/stations/{station_id}")
    return page.locator("tbody").get_by_role("rowheader").all_inner_texts()


def test_a_search_is_followed_stopped_and_its_proposal_accepted_in_part_and_a_pin_goes_before_it(
    session, page, live_server, clock, late, planner
):
    plan_now(session, clock.now)
    by_due = {station_of(lot.operations[0]).id: [] for lot in late}
    for lot in late:
        by_due[station_of(lot.operations[0]).id].append(lot_name(lot))
    page.goto(f"{live_server}/schedule/order")
    follow_a_search(page, clock, planner)
    assert_accessible(page, page.url)
    assert session.scalars(sa.select(OperationRank)).all() == []  # nothing changes before somebody accepts it
    first, second = page.get_by_role("region", name="What changes at each station").get_by_role("checkbox").all()
    second.uncheck()
    taken, left = (int(each.get_attribute("value")) for each in (first, second))
    page.get_by_role("button", name="Accept the ticked stations").click()
    expect(page.get_by_text("The plan is in force.")).to_be_visible()
    expect(page.locator("#order")).to_contain_text("3 operations have their place by it.")
    expect(page.locator("#order")).to_contain_text("What it proposed was accepted.")
    planner.wake()
    long = by_due[taken][0]
    assert runs_at(page, live_server, taken)[-1] == long
    assert runs_at(page, live_server, left) == by_due[left]
    page.goto(f"{live_server}/schedule/lots")
    page.get_by_role("button", name=f"Run {long} before all others").click()
    expect(page.get_by_text("is pinned to place 1.")).to_be_visible()
    planner.wake()
    assert runs_at(page, live_server, taken)[0] == long


def move_a_purchase_and_back(session, page, line):
    """Do what helps by one press, and take it back where the page leads to."""
    page.get_by_role("button", name="They agreed: move the day").click()
    expect(page.get_by_role("link", name="Put the day back")).to_be_visible()
    session.rollback()
    assert line.expected_on < date(2026, 1, 20)
    page.get_by_role("link", name="Put the day back").click()
    expect(page.get_by_label("Expected")).to_have_value("2026-01-20")
    page.get_by_label("Why").fill("They cannot after all")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("20 Jan")).to_be_visible()
    session.rollback()
    assert line.expected_on == date(2026, 1, 20)


def test_remedies_and_a_what_if_are_answered_where_they_are_asked_and_done_and_taken_back(
    session, page, live_server, clock, late, planner
):
    routing = routing_of(single(60), blanks=10)
    make_lot(session, pieces=8, routing=routing, due_on=date(2026, 1, 16))
    line = MaterialOrderLineFactory(revision=routing.revision, units=8, expected_on=date(2026, 1, 20))
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
    move_a_purchase_and_back(session, page, line)

    page.goto(f"{live_server}/schedule/what-if")
    page.get_by_text("the shop were closed on a day").first.click()
    page.get_by_label("Closed on").fill("2026-01-08")
    page.get_by_role("button", name="the shop were closed on a day").click()
    answer(planner)
    expect(page.get_by_role("heading", name="If the shop were closed on Thu 8 Jan")).to_be_visible()
    expect(page.locator("#what-if")).to_contain_text(" now, ")
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
