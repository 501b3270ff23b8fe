"""A released lot is changed in a real browser, and the code of an older print says what changed."""

import pytest
from playwright.sync_api import expect

from app.lots.queries.names import lot_name, operation_code
from app.people.models import Role
from tests.browser.accessibility import assert_accessible
from tests.factories.lots import make_lot, make_routing, whereabouts
from tests.factories.schedule import plan_now, runs_of
from tests.factories.stations import ShopFactory


@pytest.fixture
def lots(session):
    """Return two lots of one part, whose pieces wait at the first operation."""
    ShopFactory()
    routing = make_routing()
    return [make_lot(session, pieces=pieces, routing=routing) for pieces in (20, 8)]


def choose(page, summary, button, *, why, **labels):
    """Open one way to change the lot, fill it in and send it."""
    way = page.locator("details").filter(has=page.locator("summary", has_text=summary))
    way.locator("summary").click()
    for label, value in {**labels, "Why": why}.items():
        control = way.get_by_label(label.replace("_", " "), exact=label == "Why")
        if control.evaluate("one => one.tagName") == "SELECT":
            control.select_option(label=value)
        else:
            control.fill(value)
    way.get_by_role("button", name=button).click()


def test_a_lot_is_changed_and_its_print_is_older_then(session, lots, page, sign_in, live_server, clock):
    lot = lots[0]
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/lots/{lot.id}")
    page.get_by_role("button", name="Print the traveler").click()
    page.goto(f"{live_server}/lots/{lot.id}")
    page.get_by_role("link", name="Change its operations").click()
    choose(page, "Skip an operation", "Skip it", why="customer takes them raw", Operation="20 Step 2")
    expect(page.get_by_role("status").first).to_contain_text("The lot is changed.")
    expect(page.locator("main")).to_contain_text("the lot was changed since: op 20 Step 2 skipped. Print it again.")

    page.get_by_role("link", name="Change its operations").click()
    center = lot.operations[0].work_center.name
    facts = {"Where": "after 10 Step 1", "What_is_done": "Polish", "Seconds_a_piece": "30", "Work_center": center}
    choose(page, "Add an operation", "Add it", why="scratches", **facts)
    expect(page.locator("main")).to_contain_text("15 Polish")
    session.rollback()
    plan_now(session, clock.now)
    assert [run.operation.title for run in runs_of(session, lot)] == ["Step 1", "Polish", "Step 3"]

    page.goto(f"{live_server}/c/{operation_code(lot.operations[0])}?issue=1")
    what = "The print is older than the lot: op 20 Step 2 skipped; op 15 Polish added."
    expect(page.locator("main")).to_contain_text(what)


def test_lots_that_are_alike_become_one(session, lots, page, sign_in, live_server):
    lot, joined = lots
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/lots/{lot.id}/changes")
    choose(page, "Skip an operation", "Skip it", why="customer takes them raw", Operation="20 Step 2")
    page.goto(f"{live_server}/lots/{joined.id}/changes")
    expect(page.locator("summary", has_text="Join another lot")).to_have_count(0)  # what is still to do differs
    page.goto(f"{live_server}/lots/{lot.id}/changes")
    choose(page, "Do a skipped operation", "Do it after all", why="they want it after all", Operation="20 Step 2")
    page.get_by_role("link", name="Change its operations").click()
    choose(page, "Join another lot", "Join it", why="one cart", Lot_that_joins=f"{lot_name(joined)}, 8 pieces")
    expect(page.locator("main")).to_contain_text(f"lot {lot_name(joined)} joined: 8 more")
    session.rollback()
    assert whereabouts(lot) == {"10 waiting": 28}
    page.goto(f"{live_server}/c/{lot_name(joined)}")
    expect(page.locator("main")).to_contain_text(f"Joined into lot {lot_name(lot)}")


def test_no_page_of_a_changed_lot_is_a_barrier(session, lots, page, sign_in, live_server):
    lot = lots[0]
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/lots/{lot.id}/changes")
    choose(page, "Skip an operation", "Skip it", why="customer takes them raw", Operation="20 Step 2")
    expect(page.get_by_role("status").first).to_contain_text("The lot is changed.")
    for path in ("", "/changes", "/traveler", "?issue=1"):
        assert_accessible(page, f"{live_server}/lots/{lot.id}{path}")
    code = operation_code(lot.operations[1])
    assert_accessible(page, f"{live_server}/c/{code}?issue=1")
