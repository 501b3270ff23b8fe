"""Parts in a real browser: the routing editor with and without scripts, and every page of the area."""

import pytest
from playwright.sync_api import Page, expect

from app.parts.models import OperationFile
from app.parts.services import NewRouting, save_routing
from app.people.models import Role
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory, StoredFileFactory
from tests.factories.stations import ShopFactory
from tests.parts.pictures import picture
from tests.parts.shop import anodizing, blanks, make_keys, milling, tumbling


@pytest.fixture
def revision(session, now):
    """Return a revision with operations of every sort, a component and a set-up sheet."""
    ShopFactory()
    keys = make_keys()
    revision = RevisionFactory(part=PartFactory(number="HB-100"), piece_grams=400)
    operations = (blanks(keys), milling(keys), tumbling(keys), anodizing(keys))
    routing = save_routing(session, revision.id, NewRouting(operations, 0), by=None, now=now)
    file = StoredFileFactory()
    file.pages[0].png = picture()
    session.add(OperationFile(routing_operation_id=routing.operations[1].id, file=file, title="Vise"))
    ComponentFactory(revision_id=revision.id, part=PartFactory(number="PIN-1"), operation_number=20)
    session.commit()
    return revision


def row(page: Page, at: int, name: str):
    return page.locator(f"[name=operations-{at}-{name}]")


def walk_the_editor(page: Page, url: str, part_url: str) -> None:
    page.goto(url)
    row(page, 1, "title").fill("Mill both sides")
    page.get_by_role("button", name="Move operation 20 down").click()
    expect(row(page, 2, "title")).to_have_value("Mill both sides")
    expect(row(page, 2, "number")).to_have_value("30")
    expect(row(page, 1, "taking")).to_have_value("batch")
    page.get_by_role("button", name="Add an operation below 30").click()
    expect(row(page, 3, "number")).to_have_value("35")
    row(page, 3, "kind_id").select_option(label="Anodizing")
    page.get_by_role("button", name="Save the routing").click()
    expect(page.get_by_role("alert")).to_contain_text("Operation 35, Lead time, days")
    page.get_by_role("button", name="Remove operation 35").click()
    expect(page.locator(".parts-operation")).to_have_count(4)
    page.get_by_role("button", name="Save the routing").click()
    expect(page).to_have_url(part_url)
    expect(page.get_by_role("heading", name="Routing, version 2")).to_be_visible()


def test_the_editor_works_with_scripts(page, live_server, sign_in, revision):
    sign_in(Role.OWNER)
    url = f"{live_server}/parts/revisions/{revision.id}/routing"
    walk_the_editor(page, url, f"{live_server}/parts/{revision.part_id}?revision={revision.id}")


def test_the_editor_works_without_scripts(browser, context, live_server, sign_in, revision):
    sign_in(Role.SETUP_LEAD)
    plain = browser.new_context(java_script_enabled=False)
    plain.add_cookies(context.cookies())
    url = f"{live_server}/parts/revisions/{revision.id}/routing"
    walk_the_editor(plain.new_page(), url, f"{live_server}/parts/{revision.part_id}?revision={revision.id}")
    plain.close()


def test_only_the_fields_that_are_needed_are_seen(page, live_server, sign_in, revision):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/parts/revisions/{revision.id}/routing")

    def seen(at: int) -> set[str]:
        names = {"work_center_id", "lead_days", "cycle_ms", "expected_yield", "batch_grams", "load_ms", "bar_pieces"}
        return {name for name in names if row(page, at, name).is_visible()}

    assert seen(0) == {"lead_days"}
    assert seen(1) == {"work_center_id", "cycle_ms", "expected_yield"}
    assert seen(2) == {"work_center_id", "cycle_ms", "expected_yield", "batch_grams"}
    assert seen(3) == {"lead_days", "expected_yield"}
    row(page, 2, "taking").select_option("bar")
    assert seen(2) == {"work_center_id", "cycle_ms", "expected_yield", "bar_pieces"}
    row(page, 2, "kind_id").select_option(label="Ordering blanks")
    assert seen(2) == {"lead_days"}


def test_the_list_is_narrowed_while_one_types(page, live_server, sign_in, revision):
    sign_in(Role.OPERATOR)
    page.goto(f"{live_server}/parts")
    expect(page.get_by_role("link", name="HB-100")).to_be_visible()
    page.get_by_label("Number or name").press_sequentially("pin")
    expect(page.get_by_role("link", name="HB-100")).to_have_count(0)
    expect(page.get_by_role("link", name="PIN-1")).to_be_visible()
