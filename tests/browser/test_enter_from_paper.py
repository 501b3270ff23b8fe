"""Enter from paper: from the scan of a traveler to the ledger, by keyboard alone, and without scripts."""

from datetime import UTC, datetime

import pytest
from playwright.sync_api import Page, expect

from app.lots.queries import lot_name, operation_code
from app.people.models import Role
from tests.factories.lots import make_lot, make_routing, whereabouts
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory, StationFactory

RELEASED = datetime(2026, 1, 5, 14, 0, tzinfo=UTC)


@pytest.fixture
def lot(session):
    ShopFactory()
    PersonFactory(name="Ina Brook", initials="IB")
    lot = make_lot(session, pieces=40, routing=make_routing(first_piece=True), when=RELEASED)
    StationFactory(name="Old mill", work_center=lot.operations[1].work_center)
    return lot


def enter(page: Page, *values: str) -> None:
    """Type into the field that has the focus and press Enter, again and again; a blank leaves a field as it is."""
    for value in values:
        here = page.evaluate("document.activeElement.id")
        if value:
            page.locator(f"#{here}").fill(value)
        page.keyboard.press("Enter")
        # A busy browser may answer for a key before the page has heard it.
        page.wait_for_function("here => document.activeElement.id !== here", arg=here)


def has_focus(page: Page, label: str) -> None:
    """Wait until the field with a label has the focus."""
    expect(page.locator(":focus")).to_have_accessible_name(label)


def test_a_traveler_is_entered_by_keyboard_alone(session, sign_in, page, live_server, lot):
    sign_in(Role.SETUP_LEAD)
    page.goto(f"{live_server}/c/{operation_code(lot.operations[0])}")
    page.get_by_role("link", name="Enter from paper").click()
    expect(page.get_by_text("40 pieces expected")).to_have_count(3)
    has_focus(page, "Day it was done")
    page.wait_for_load_state()  # the page gives a field the focus before its scripts are there to hear a key
    enter(page, "2026-01-06", "07:00", "09:30", "IB", "", "2", "burr")  # the good pieces follow the scrap
    expect(page.locator("#rows-0-good")).to_have_value("38")
    expect(page.locator("#rows-1-good")).to_have_value("38")
    has_focus(page, "First piece was good")
    page.keyboard.press("Space")
    enter(page, "", "", "", "", "11:00", "", "", "", "", "")
    has_focus(page, "First piece was good")
    enter(page, "", "", "", "", "14:00")
    page.get_by_role("button", name="Keep these rows").last.click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Row 2, First piece was good")
    expect(alert).to_contain_text("Row 3, First piece was good")
    expect(page.locator("#rows-0-reason")).to_have_value("burr")
    session.rollback()
    assert whereabouts(lot) == {"10 waiting": 40}
    for row in (1, 2):
        page.locator(f"#rows-{row}-first_piece").check()
    page.get_by_role("button", name="Keep these rows").last.click()
    page.wait_for_url("**/lots/*")
    expect(page.get_by_text("3 rows are kept.")).to_be_visible()
    session.rollback()
    assert whereabouts(lot) == {"10 scrapped": 2, "in_stock": 38}
    expect(page.locator("#ledger").locator("..")).to_contain_text("entered from paper")


def test_more_rows_come_without_leaving_the_page_and_a_scan_fills_a_row(session, sign_in, page, live_server, lot):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/floor")
    page.get_by_role("link", name="Enter from paper").click()
    page.get_by_role("link", name="Old mill").click()
    page.locator("#rows-0-done").fill("09:00")
    page.get_by_role("button", name="More rows").click()
    expect(page.locator("#rows-6-begun")).to_be_focused()
    expect(page.locator("#rows-0-done")).to_have_value("09:00")
    page.locator("#rows-0-first_piece").focus()
    page.keyboard.press("Enter")  # what was measured is folded away
    expect(page.locator("#rows-1-code")).to_be_focused()
    page.locator("#rows-0-code").focus()
    scan(page, lot_name(lot))
    expect(page.locator("#rows-0-code")).to_have_value(lot_name(lot))
    page.get_by_role("button", name="Keep these rows").last.click()
    expect(page.locator("#rows-0-day-errors")).to_contain_text("Type the day")
    expect(page.locator("#rows-0-code")).to_have_value(lot_name(lot))


def scan(page: Page, code: str) -> None:
    """Type as a scanner does: all at once, with Enter at the end."""
    tool = page.context.new_cdp_session(page)
    for key in code:
        place = f"Digit{key}" if key.isdigit() else f"Key{key}"
        press = {"key": key, "code": place, "modifiers": 0 if key.isdigit() else 8}
        tool.send("Input.dispatchKeyEvent", {"type": "keyDown", "text": key, **press})
        tool.send("Input.dispatchKeyEvent", {"type": "keyUp", **press})
    tool.send(
        "Input.dispatchKeyEvent", {"type": "keyDown", "key": "Enter", "code": "Enter", "windowsVirtualKeyCode": 13}
    )
    tool.send("Input.dispatchKeyEvent", {"type": "keyUp", "key": "Enter", "code": "Enter"})


def test_it_works_without_scripts(session, sign_in, browser, live_server, lot, context):
    sign_in(Role.OWNER)
    plain = browser.new_context(java_script_enabled=False, storage_state=context.storage_state())
    page = plain.new_page()
    page.goto(f"{live_server}/floor/paper/lots/{lot.id}")
    page.locator("#rows-0-done").fill("09:00")
    page.get_by_role("button", name="More rows").click()
    expect(page.locator("#rows-5-operation")).to_be_visible()
    page.locator("#rows-0-day").fill("2026-01-06")
    page.locator("#rows-0-initials").fill("IB")
    page.locator("#rows-0-first_piece").check()
    page.get_by_role("button", name="Keep these rows").last.click()
    page.wait_for_url("**/lots/*")
    session.rollback()
    assert whereabouts(lot) == {"20 waiting": 40}
    plain.close()
