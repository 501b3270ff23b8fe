"""Forms are sent once however often their button is pressed; buttons come back when the page does."""

import pytest
from flask import Flask, redirect, render_template_string, request
from playwright.sync_api import expect

from app.extensions import open_to_all
from tests.conftest import new_app

PAGE = """
{% extends "base.html" %}{% block title %}Keys{% endblock %}
{% block main %}<h1>Keys</h1>
<form method="post" action="/kept"><input type="hidden" name="key" data-client-key value="{{ kept_key }}">
<button name="which" value="one">One</button><button name="which" value="two">Two</button></form>
<div id="count" hx-get="/piece" hx-trigger="click" hx-target="this">old</div>
<form action="/chosen"><label>Size
<select name="size" data-auto-submit><option>S</option><option>L</option></select></label></form>
<time data-clock="55">23:59</time>
{% endblock %}
"""


@pytest.fixture(scope="module")
def shared_app(tmp_path_factory) -> Flask:
    """Return an app with forms of the kinds that a page may have."""
    app = new_app("sqlite://", tmp_path_factory.mktemp("nothing"))

    @app.get("/keys")
    @open_to_all
    def keys() -> str:
        return render_template_string(PAGE, kept_key=request.args.get("kept", ""))

    @app.post("/kept")
    @open_to_all
    def keep():
        app.extensions["sent"].append(dict(request.form))
        return redirect("/keys", code=303)

    @app.get("/piece")
    @open_to_all
    def piece() -> str:
        return '<div id="count"><input type="hidden" data-client-key name="key">new</div>'

    @app.get("/chosen")
    @open_to_all
    def chosen() -> str:
        return render_template_string(PAGE)

    return app


@pytest.fixture
def sent(app: Flask) -> list[dict[str, str]]:
    app.extensions["sent"] = []
    return app.extensions["sent"]


@pytest.fixture
def keys_page(page, live_server, sent):
    page.goto(f"{live_server}/keys")
    expect(page.locator("[data-scan-ready]")).to_be_visible()
    return page


def test_pressing_twice_sends_once_with_the_pressed_buttons_value(keys_page, sent):
    with keys_page.expect_navigation():
        keys_page.get_by_role("button", name="Two").dblclick()
    assert [(one["which"], len(one["key"])) for one in sent] == [("two", 32)]


def test_a_key_the_server_kept_is_not_replaced(keys_page, live_server):
    keys_page.goto(f"{live_server}/keys?kept=abc")
    expect(keys_page.locator("[data-scan-ready]")).to_be_visible()
    assert keys_page.locator("form [name=key]").input_value() == "abc"


def test_buttons_can_be_pressed_again_when_the_page_is_shown_again(keys_page):
    keys_page.evaluate("document.querySelector('main form').addEventListener('submit', e => e.stopPropagation())")
    keys_page.evaluate(
        "() => { const form = document.querySelector('main form'); form.dataset.sending = ''; "
        "for (const b of form.querySelectorAll('button')) { b.disabled = true; b.dataset.busy = ''; } }"
    )
    keys_page.evaluate("window.dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}))")
    expect(keys_page.get_by_role("button", name="One")).to_be_enabled()


def test_a_piece_swapped_in_by_htmx_gets_its_key_and_keeps_its_place(keys_page):
    keys_page.locator("#count").click()
    expect(keys_page.locator("#count")).to_have_text("new")
    assert len(keys_page.locator("#count [name=key]").input_value()) == 32
    assert keys_page.locator("#count").count() == 1


def test_a_list_that_sends_itself(keys_page):
    with keys_page.expect_navigation(url="**/chosen?size=L"):
        keys_page.get_by_label("Size").select_option("L")


def test_the_clock_goes_on_from_the_shops_time_over_midnight(page, live_server, sent):
    page.clock.install()
    page.goto(f"{live_server}/keys")
    expect(page.locator("[data-scan-ready]")).to_be_visible()
    page.clock.run_for(15_000)
    expect(page.locator("[data-clock]")).to_have_text("00:00")
