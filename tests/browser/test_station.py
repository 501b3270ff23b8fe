"""A station's page in a real browser: a scanner that types, gloved hands on keys, a network that fails."""

import pytest
import sqlalchemy as sa
from playwright.sync_api import Page, expect
from werkzeug.security import generate_password_hash

from app.core.scan_code import CodeKind, format_code
from app.lots.models import Job, JobState, Lot, LotOperation, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import begin, count_so_far
from app.people.models import Person
from tests.browser.accessibility import assert_accessible
from tests.browser.test_scanner import Keyboard
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

PIN = "7305"


@pytest.fixture
def sam(session) -> Person:
    hashed = generate_password_hash(PIN, method="pbkdf2:sha256:1")
    return PersonFactory(name="Sam Okafor", pin_hash=hashed, roles=["setup lead"])


@pytest.fixture
def lot(session) -> Lot:
    ShopFactory()
    return make_lot(session, routing=make_routing(instructions="Soft jaws 14-B."))


class StationTablet:
    """A browser at the first operation's station with a scanner plugged in."""

    def __init__(self, page: Page, clock, home: str) -> None:
        self.page = page
        self.clock = clock
        self.home = home
        page.goto(home)
        expect(page.locator("[data-scan-ready]")).to_be_visible()
        self.keyboard = Keyboard(page)

    def scan(self, code: str) -> None:
        self.clock.forward(seconds=10)
        self.keyboard.wait(10_000)
        self.keyboard.type(code, gap_ms=12)

    def press_keys(self, digits: str) -> None:
        pad = self.page.get_by_role("group", name="Number keys")
        for digit in digits:
            pad.get_by_role("button", name=digit, exact=True).click()

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def open_done(self, operation: LotOperation) -> None:
        """Begin an operation with one scan, and open its 'done' form with another."""
        self.scan(operation_code(operation))
        expect(self.page.locator("#board")).to_contain_text("Setting up since")
        self.scan(operation_code(operation))
        expect(self.page.get_by_label("Good pieces")).to_be_visible()

    def sign_on(self, person: Person) -> None:
        self.scan(person.badge_code)
        expect(self.page.get_by_role("heading", level=1)).to_have_text(f"{person.name}, your PIN")
        self.press_keys(PIN)
        self.press("Sign on")
        expect(self.page.locator("#people")).to_contain_text(person.name)
        expect(self.page.locator("[data-scan-ready]")).to_be_visible()


@pytest.fixture
def tablet(page, live_server, clock, lot) -> StationTablet:
    return StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(lot.operations[0]).id}")


def test_badge_and_pin_two_scans_and_one_number_and_its_undo(session, tablet, lot, sam):
    page, operation = tablet.page, lot.operations[0]
    tablet.sign_on(sam)
    tablet.scan(operation_code(operation))
    expect(page.locator("#board")).to_contain_text("Setting up since")
    tablet.press("Set-up done: run")
    expect(page.locator("#board")).to_contain_text("Running since")

    tablet.scan(operation_code(operation))
    expect(page.get_by_label("Good pieces")).to_have_value("50")
    tablet.press_keys("3")
    expect(page.get_by_label("Scrap", exact=True)).to_have_value("3")
    expect(page.get_by_label("Good pieces")).to_have_value("47")
    page.get_by_role("radio", name="Tool broke").check()
    tablet.press("Sign off")
    expect(page.get_by_role("status").first).to_contain_text(f"Signed off {lot_name(lot)} op 10: 47 good, 3 scrap.")
    session.rollback()
    assert whereabouts(lot) == {"10 scrapped": 3, "20 waiting": 47}

    page.get_by_role("link", name="Last entries, undo").click()
    page.get_by_role("button", name="Undo Signed off").click()
    expect(page.locator(".entries .is-undone").first).to_contain_text("Signed off")
    session.rollback()
    assert whereabouts(lot) == {"10 in_work": 50}


def test_all_good_is_two_scans_and_enter(session, tablet, lot, sam):
    tablet.sign_on(sam)
    tablet.open_done(lot.operations[0])
    expect(tablet.page.get_by_label("Scrap", exact=True)).to_be_focused()
    tablet.keyboard.wait(1_000)
    tablet.keyboard.type("", gap_ms=100)
    expect(tablet.page.get_by_role("status").first).to_contain_text("50 good.")
    session.rollback()
    assert whereabouts(lot) == {"20 waiting": 50}


def test_a_reason_is_asked_for_only_where_there_is_scrap(tablet, lot, sam):
    tablet.sign_on(sam)
    tablet.open_done(lot.operations[0])
    reasons = tablet.page.get_by_role("group", name="Why scrap")
    expect(reasons).to_be_hidden()
    tablet.press_keys("2")
    expect(reasons).to_be_visible()
    tablet.press("Sign off")
    expect(tablet.page.locator(".field__errors p").first).to_have_text("Say why: choose or write a reason.")
    expect(tablet.page.get_by_label("Scrap", exact=True)).to_have_value("2")


def test_the_number_keys_serve_the_count_that_was_touched(tablet, lot, sam):
    tablet.sign_on(sam)
    tablet.open_done(lot.operations[0])
    good = tablet.page.get_by_label("Good pieces")
    good.click()
    tablet.press_keys("40")
    expect(good).to_have_value("40")
    tablet.page.get_by_label("Scrap", exact=True).click()
    tablet.press_keys("1")
    expect(good).to_have_value("40")


def test_a_scan_while_own_words_are_typed_neither_sends_them_nor_loses_them(session, tablet, lot, sam):
    page = tablet.page
    tablet.sign_on(sam)
    tablet.open_done(lot.operations[0])
    tablet.press_keys("2")
    page.get_by_label("Or in your own words").first.fill("insert chipped")
    session.rollback()
    other = make_lot(session)
    page.get_by_label("Or in your own words").first.focus()
    tablet.scan(lot_name(other))
    expect(page.locator("#refusal")).to_contain_text(f"This is lot {lot_name(other)}, and the form is for lot")
    expect(page.get_by_label("Or in your own words").first).to_have_value("insert chipped")
    expect(page.get_by_label("Scrap", exact=True)).to_have_value("2")
    session.rollback()
    assert whereabouts(lot) == {"10 in_work": 50}


def test_a_scan_without_a_badge_goes_on_after_it(session, tablet, lot, sam):
    tablet.scan(operation_code(lot.operations[0]))
    expect(tablet.page.locator("#refusal")).to_contain_text("Scan your badge first")
    tablet.sign_on(sam)
    expect(tablet.page.locator("#board")).to_contain_text("Setting up since")


def test_what_is_not_signed_off_before_is_recorded_in_one_tap(session, page, live_server, clock, lot, sam):
    second = lot.operations[1]
    tablet = StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(second).id}")
    tablet.sign_on(sam)
    tablet.scan(operation_code(second))
    expect(page.locator("#refusal")).to_contain_text("was not signed off for these 50 pieces")
    tablet.press("Record it now for these 50 pieces")
    expect(page.locator("#board")).to_contain_text("Setting up since")
    session.rollback()
    assert whereabouts(lot) == {"20 in_work": 50}


def test_a_poll_shows_what_another_did_and_leaves_typing_alone(session, page, live_server, clock, lot, sam):
    page.clock.install()
    tablet = StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(lot.operations[0]).id}")
    typed = page.get_by_label("No scanner? Type a code")
    typed.fill("L000")
    operation = lot.operations[0]
    begin(session, act(station_id=station_of(operation).id, person_id=sam.id), [operation.id])
    count_so_far(session, act(station_id=station_of(operation).id), operation.id, 24)
    with page.expect_response(lambda response: response.request.headers.get("hx-request-type") == "partial"):
        page.clock.fast_forward(26_000)
    expect(page.locator("#board")).to_contain_text("of 50 counted")
    expect(typed).to_have_value("L000")
    expect(typed).to_be_focused()
    assert tablet.page.url == tablet.home


def test_a_key_shown_by_a_poll_works(session, page, live_server, clock, lot, sam):
    page.clock.install()
    operation = lot.operations[0]
    tablet = StationTablet(page, clock, f"{live_server}/floor/stations/{station_of(operation).id}")
    tablet.sign_on(sam)
    begin(session, act(station_id=station_of(operation).id, person_id=sam.id), [operation.id])
    with page.expect_response(lambda response: response.request.headers.get("hx-request-type") == "partial"):
        page.clock.fast_forward(26_000)
    tablet.press("Pause")
    expect(page.locator("#board")).to_contain_text("Paused since")


def test_what_is_tapped_without_a_network_is_kept_and_recorded_when_it_is_back(session, tablet, lot, sam, offline):
    page = tablet.page
    tablet.sign_on(sam)
    tablet.scan(operation_code(lot.operations[0]))
    expect(page.locator("#board")).to_contain_text("Setting up since")
    offline(True)
    tablet.press("Pause")
    expect(page.locator("[data-outbox-badge]")).to_contain_text("1 kept on this tablet")
    offline(False)
    expect(page.locator("[data-outbox-badge]")).to_be_hidden(timeout=15_000)
    session.rollback()
    assert session.scalars(sa.select(Job.state)).one() is JobState.PAUSED
    assert session.scalars(sa.select(Posting.verb).order_by(Posting.id.desc())).first() is Verb.PAUSE


@pytest.fixture
def busy(session, tablet, lot, sam) -> str:
    """Return the station's address with somebody signed on and a job open."""
    tablet.sign_on(sam)
    tablet.scan(operation_code(lot.operations[0]))
    expect(tablet.page.locator("#board")).to_contain_text("Setting up since")
    session.rollback()
    make_lot(session)
    return tablet.home


@pytest.mark.parametrize(
    "path",
    ["", "/operations/{op}", "/operations/{op}/done", "/operations/{op}/scraps", "/entries", "/load", "/downtimes"],
)
def test_no_page_of_a_busy_station_is_a_barrier(busy, page, lot, path):
    assert_accessible(page, busy + path.format(op=lot.operations[0].id))


def test_no_page_without_a_job_is_a_barrier(page, live_server, lot, sam):
    station, operation = station_of(lot.operations[0]), lot.operations[0]
    here = f"/floor/stations/{station.id}"
    for path in (
        "/floor",
        here,
        f"{here}/sign-on?badge={sam.badge_code}",
        f"{here}/operations/{operation.id}/first-pieces",
        f"{here}/operations/{operation.id}/components",
        f"{here}/operations/{operation.id}/sheets",
        f"{here}/photos",
        "/floor/photo",
        f"/c/{operation_code(operation)}",
    ):
        assert_accessible(page, live_server + path)


def test_a_refusal_with_its_offer_is_no_barrier(tablet, lot, sam):
    code = format_code(CodeKind.LOT, 99_000)
    tablet.scan(code)
    expect(tablet.page.locator("#refusal")).to_be_visible()
    assert tablet.page.locator("#refusal").get_attribute("role") == "alert"


@pytest.mark.parametrize(
    "path", ["", "/operations/{op}/done", "/operations/{op}", "/entries", "/operations/{op}/holds"]
)
def test_keys_are_large_enough_for_gloves(busy, page, lot, path):
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(busy + path.format(op=lot.operations[0].id))
    targets = page.locator("main :is(a, button, input:not([type=hidden]), select):visible")
    small = targets.evaluate_all(
        """all => all.filter(each => {
          const { width, height } = each.getBoundingClientRect();
          return Math.min(width, height) < 48;
        }).map(each => each.outerHTML)"""
    )
    assert targets.count() > 3
    assert small == []
