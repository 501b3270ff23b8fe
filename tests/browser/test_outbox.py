"""What is sent at a station while the network is down is kept, sent on once, and never lost without a word."""

from dataclasses import dataclass, field

import pytest
from flask import Flask, flash, redirect, render_template_string, request
from playwright.sync_api import Page, expect

from app.extensions import open_to_all
from tests.conftest import new_app

PAGE = """
{% extends "shared/station_base.html" %}{% block title %}Station{% endblock %}{% block station %}Mill 2{% endblock %}
{% block main %}<h1>{{ heading }}</h1>
<form data-outbox="24 good at op 20" method="post" action="/sign-offs"><input type="hidden" name="key" data-client-key>
<label>Good <input name="good" value="24"></label>
<p id="polled" hx-get="/station" hx-trigger="every 25s">…</p>
<button class="button" name="how" value="done">Done</button></form>
{% endblock %}
"""


@dataclass
class Shop:
    """What the server was sent, and the statuses it is to answer with before all is well again."""

    sent: list[dict[str, str]] = field(default_factory=list)
    statuses: list[int] = field(default_factory=list)


@pytest.fixture(scope="module")
def shared_app(tmp_path_factory) -> Flask:
    """Return an app with a station page and its form."""
    app = new_app("sqlite://", tmp_path_factory.mktemp("nothing"))

    @app.get("/station")
    @open_to_all
    def station() -> str:
        return render_template_string(PAGE, heading="Ready")

    @app.post("/sign-offs")
    @open_to_all
    def sign_off():
        shop = app.extensions["shop"]
        shop.sent.append(dict(request.form))
        status = shop.statuses.pop(0) if shop.statuses else 200
        if status >= 400:
            return render_template_string(PAGE, heading="Only 8 pieces are here"), status
        flash("24 good signed off", "note")
        return redirect("/station?done=1", code=303)

    return app


@pytest.fixture
def shop(app: Flask) -> Shop:
    app.extensions["shop"] = Shop()
    return app.extensions["shop"]


@pytest.fixture
def station(page: Page, live_server: str, shop: Shop) -> Page:
    page.goto(f"{live_server}/station")
    expect(page.locator("[data-scan-ready]")).to_be_visible()
    return page


def done(page: Page) -> None:
    page.get_by_role("button", name="Done").click()


def badge(page: Page):
    return page.locator("[data-outbox-badge]")


def test_with_the_network_there_the_answer_is_shown_as_if_the_browser_had_gone_there(station, shop, live_server):
    done(station)
    expect(station.get_by_text("24 good signed off")).to_be_visible()
    assert station.url == f"{live_server}/station?done=1"
    assert [(sent["good"], sent["how"], sent["age"]) for sent in shop.sent] == [("24", "done", "0")]
    expect(badge(station)).to_be_hidden()


def test_what_polled_on_the_page_before_is_stopped_and_what_polls_on_the_answer_runs(station, shop):
    before = station.locator("#polled").element_handle()
    assert before.evaluate("each => each._htmx.triggerSpecs[0].interval") > 0
    done(station)
    expect(station.get_by_text("24 good signed off")).to_be_visible()
    assert before.evaluate("each => each._htmx") is None
    assert station.locator("#polled").evaluate("each => each._htmx.triggerSpecs[0].interval") > 0


def test_the_next_entry_from_the_shown_answer_has_a_key_of_its_own(station, shop):
    done(station)
    expect(station.get_by_text("24 good signed off")).to_be_visible()
    with station.expect_response("**/sign-offs"):
        done(station)
    assert len(shop.sent) == 2
    assert len({sent["key"] for sent in shop.sent}) == 2


def test_a_refusal_is_shown_at_once_and_nothing_is_kept(station, shop):
    shop.statuses = [422]
    done(station)
    expect(station.get_by_role("heading", name="Only 8 pieces are here")).to_be_visible()
    expect(badge(station)).to_be_hidden()


def test_without_a_network_the_entry_is_kept_over_a_reload_and_sent_with_its_own_key_when_it_is_back(
    station, shop, offline, live_server
):
    key = station.locator("[name=key]").input_value()
    offline(True)
    done(station)
    expect(badge(station)).to_have_text("1 kept on this tablet, waiting for the network")
    assert station.locator("[name=key]").input_value() not in ("", key)
    assert shop.sent == []
    offline(False)
    station.goto(f"{live_server}/station")
    expect(badge(station)).to_be_hidden()
    assert {sent["key"] for sent in shop.sent} == {key}  # leaving the page may cut a first answer off


def test_the_entrys_age_is_sent_and_not_the_tablets_clock(station, shop, offline):
    station.clock.install()
    offline(True)
    done(station)
    expect(badge(station)).to_be_visible()
    station.clock.fast_forward(90_000)
    offline(False)
    expect(badge(station)).to_be_hidden()
    assert 90 <= int(shop.sent[0]["age"]) <= 150


def test_entries_are_sent_in_the_order_they_were_made(station, shop, offline):
    offline(True)
    for good in ("1", "2", "3"):
        station.get_by_label("Good").fill(good)
        done(station)
        expect(badge(station)).to_contain_text(good)
    offline(False)
    expect(badge(station)).to_be_hidden()
    assert [sent["good"] for sent in shop.sent] == ["1", "2", "3"]


@pytest.mark.parametrize("status", [401, 408, 429, 500, 503])
def test_an_entry_stays_while_the_server_cannot_take_it(station, shop, status):
    key = station.locator("[name=key]").input_value()
    station.route("**/sign-offs", lambda route: route.fulfill(status=status))
    done(station)
    expect(badge(station)).to_be_visible()
    station.unroute("**/sign-offs")
    station.evaluate("window.dispatchEvent(new Event('online'))")
    expect(badge(station)).to_be_hidden()
    assert [sent["key"] for sent in shop.sent] == [key]


@pytest.mark.parametrize("status", [400, 403, 409, 422])
def test_an_entry_refused_later_waits_for_a_person_with_the_reason(station, shop, offline, status):
    offline(True)
    done(station)
    expect(badge(station)).to_be_visible()
    shop.statuses = [status]
    offline(False)
    parked = station.locator("[data-outbox-parked]")
    expect(parked).to_contain_text("24 good at op 20: Only 8 pieces are here")
    expect(badge(station)).to_be_hidden()
    parked.get_by_role("button", name="Drop it").click()
    expect(parked).to_be_hidden()
    assert len(shop.sent) == 1


def test_a_refused_entry_can_be_sent_again_with_the_same_key(station, shop, offline):
    offline(True)
    done(station)
    expect(badge(station)).to_be_visible()
    shop.statuses = [409]
    offline(False)
    station.get_by_role("button", name="Send it again").click()
    expect(station.locator("[data-outbox-parked]")).to_be_hidden()
    expect(badge(station)).to_be_hidden()
    assert len(shop.sent) == 2
    assert len({sent["key"] for sent in shop.sent}) == 1
