"""Fixtures that walk the app in Debian's chromium: a server for the test's own app, pages signed in or not."""

import logging
import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Response, expect, sync_playwright
from waitress.server import create_server

from app.people.models import Role
from tests.factories.people import PersonFactory

log = logging.getLogger(__name__)

PATIENCE_MS = 60_000
"""How long a busy machine may take to draw a page; a test that passes never waits for it."""

CHROMIUMS = (Path("/usr/bin/chromium-headless-shell"), Path("/usr/bin/chromium"))
"""Where Debian puts the browser; the first is it without a window, menus and what they cost each new page."""
FLAGS = [
    "--disable-gpu",
    "--disable-dev-shm-usage",  # a container's /dev/shm may hold less than one page wants
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

expect.set_options(timeout=PATIENCE_MS)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder, so that ``-m "not browser"`` leaves them out.

    What takes by far the longest comes first: another worker walks the rest meanwhile.
    """
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
    items.sort(key=lambda item: item.path != here / "test_every_page.py")


@pytest.fixture(scope="session")
def browser(pytestconfig: pytest.Config) -> Iterator[Browser]:
    """Return chromium; skip where there is none unless the environment requires it.

    tests/published imports this fixture and so has one of its own: both share the browser that was started first.
    """
    running: Browser | None = getattr(pytestconfig, "lotwright_browser", None)
    if running is not None:
        yield running
        return
    chromium = next((each for each in CHROMIUMS if each.exists()), None)
    if chromium is None:
        reason = f"needs chromium at {' or '.join(map(str, CHROMIUMS))}"
        if "browser" in os.environ.get("LOTWRIGHT_TESTS_REQUIRE", ""):
            pytest.fail(reason)
        pytest.skip(reason)
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(chromium), args=[*FLAGS, *(["--no-sandbox"] if is_root else [])]
        )
        pytestconfig.lotwright_browser = browser  # type: ignore[attr-defined]  # kept for the session
        yield browser
        browser.close()


@pytest.fixture
def live_server(app, session) -> Iterator[str]:
    """Serve the test's app, which has an owner, on a free port and return its address."""
    PersonFactory(roles=[Role.OWNER])  # without one every page leads to the set-up page
    server = create_server(app, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"

    def close() -> None:
        for channel in list(server.active_channels.values()):
            channel.handle_close()
        server.close()

    server.task_dispatcher.shutdown()
    # Without the lock another thread's pull can run close, which shuts the trigger, before ours has written.
    with server.trigger.lock:
        server.trigger.thunks.append(close)  # runs in the server's own thread, which then ends
        server.trigger.pull_trigger()
    thread.join(timeout=5)
    assert not thread.is_alive()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """Return a fresh browser profile."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    yield context
    context.close()


def note_refusal(got: Response) -> None:
    """Log an answer that refuses something, or asks to sign in."""
    if got.status >= 400 or "/sign-in" in got.url:
        log.warning("%s %s %s", got.status, got.request.method, got.url)


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """Return a page nobody has signed in with; a script error or a refused script or style fails the test.

    What the server refused or did not answer is logged, which pytest shows where the journey fails.
    """
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.on("response", note_refusal)
    page.on("requestfailed", lambda lost: log.warning("%s %s %s", lost.failure, lost.method, lost.url))
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(f"script error: {error}"))
    page.on(
        "console", lambda message: faults.append(message.text) if "Content Security Policy" in message.text else None
    )
    yield page
    assert faults == []


@pytest.fixture
def sign_in(app, session, context: BrowserContext, live_server: str) -> Callable[[Role], None]:
    """Return a function that signs the browser in as a person with a role, by the cookie the app would set."""

    def sign_in_as(role: Role) -> None:
        person: Any = PersonFactory(roles=[role])
        client = app.test_client()
        with client.session_transaction() as kept:
            kept["person_id"] = person.id
            kept["session_stamp"] = person.session_stamp
        cookie = client.get_cookie(app.config["SESSION_COOKIE_NAME"])
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server}])

    return sign_in_as


@pytest.fixture
def offline(context: BrowserContext) -> Callable[[bool], None]:
    """Return a function that takes the browser's network away and gives it back."""

    def set_offline(is_offline: bool) -> None:
        try:
            context.set_offline(is_offline)
        except Error as error:  # the page went away meanwhile
            pytest.fail(str(error))

    return set_offline
