"""A scanner that types, with key presses at stated times: no test waits or depends on how fast this machine is."""

import time

import pytest
from flask import Flask, redirect, render_template_string, request
from playwright.sync_api import CDPSession, Page

from app.core.scan_code import CodeKind, format_code, next_number
from app.extensions import open_to_all
from tests.conftest import new_app

PAGE = """
{% extends "base.html" %}{% block title %}Scan{% endblock %}
{% block main %}<h1>Scan</h1>
<form data-scan-form method="post" action="/heard"><input type="hidden" name="key" data-client-key>
<label>Code <input name="code"></label></form>
<form method="post" action="/heard"><label>Words <input id="words" value="ab"></label>
<label>Number <input id="number" type="number" value="7"></label>
<label>List <select id="list"><option>None</option><option>Lathe</option><option>Press</option></select></label>
<label>More <textarea id="more">kept</textarea></label><button>Send</button></form>{% endblock %}
"""
SHIFTED = {":": "Semicolon", "?": "Slash"}
PLAIN = {"/": "Slash", "-": "Minus", ".": "Period"}
GERMAN = {"KeyY": "z", "KeyZ": "y", "Slash": "-", "Minus": "ß"}
LOT = format_code(CodeKind.LOT, next_number(CodeKind.LOT, 416))


@pytest.fixture(scope="module")
def shared_app(tmp_path_factory) -> Flask:
    """Return an app with a page that takes scans."""
    app = new_app("sqlite://", tmp_path_factory.mktemp("nothing"))

    @app.get("/scan")
    @open_to_all
    def scan_page() -> str:
        return render_template_string(PAGE)

    @app.post("/heard")
    @open_to_all
    def hear():
        app.extensions["heard"].append(dict(request.form))
        return redirect("/scan", code=303)

    return app


@pytest.fixture
def heard(app: Flask) -> list[dict[str, str]]:
    """Return what the scan form of the page has sent."""
    app.extensions["heard"] = []
    return app.extensions["heard"]


class Keyboard:
    """Presses keys at stated milliseconds."""

    def __init__(self, page: Page, layout: dict[str, str] | None = None) -> None:
        self.page = page
        self.devtools: CDPSession = page.context.new_cdp_session(page)
        self.layout = layout or {}
        self.now = time.time()

    def type(self, text: str, gap_ms: float, end: str = "Enter") -> None:
        for character in text:
            self._press(*self._place(character), gap_ms)
        if end:
            self._press(end, end, False, gap_ms)
        self.page.wait_for_timeout(0)

    def wait(self, milliseconds: float) -> None:
        self.now += milliseconds / 1000

    def _place(self, character: str) -> tuple[str, str, bool]:
        shift = character.isupper() or character in SHIFTED
        if character.isalpha():
            place = f"Key{character.upper()}"
        elif character.isdigit():
            place = f"Digit{character}"
        else:
            place = SHIFTED.get(character) or PLAIN[character]
        key = self.layout.get(place, character)
        return place, key.upper() if shift else key, shift

    def _press(self, place: str, key: str, shift: bool, gap_ms: float) -> None:
        self.wait(gap_ms)
        codes = {"Enter": 13, "Tab": 9}
        press = {"code": place, "key": key, "modifiers": 8 if shift else 0, "timestamp": self.now}
        press["windowsVirtualKeyCode"] = codes.get(key, ord(key[0].upper()))
        text = "\r" if key == "Enter" else key if len(key) == 1 else ""
        self.devtools.send("Input.dispatchKeyEvent", {"type": "keyDown", "text": text, **press})
        self.devtools.send("Input.dispatchKeyEvent", {"type": "keyUp", **press})


@pytest.fixture
def scan_page(page: Page, live_server: str, heard) -> Page:
    page.goto(f"{live_server}/scan")
    page.wait_for_selector("[data-scan-ready]:not([hidden])")
    return page


def scan(page: Page, keyboard: Keyboard, text: str, end: str = "Enter") -> None:
    """Scan and wait for the answer to it."""
    with page.expect_navigation():
        keyboard.type(text, gap_ms=12, end=end)


def test_a_burst_is_sent_with_a_fresh_key_though_no_field_has_the_focus(scan_page, heard):
    scan(scan_page, Keyboard(scan_page), LOT)
    assert [sent["code"] for sent in heard] == [LOT]
    assert len(heard[0]["key"]) == 32


def test_a_burst_that_ends_in_tab_is_taken_too(scan_page, heard):
    scan(scan_page, Keyboard(scan_page), LOT, end="Tab")
    assert [sent["code"] for sent in heard] == [LOT]


def test_a_code_in_small_letters_is_read_as_printed(scan_page, heard):
    scan(scan_page, Keyboard(scan_page), LOT.lower())
    assert [sent["code"] for sent in heard] == [LOT]


@pytest.mark.parametrize("kind", list(CodeKind))
def test_every_kind_of_code_is_heard(scan_page, heard, kind):
    code = format_code(kind, next_number(kind, 100))
    scan(scan_page, Keyboard(scan_page), code)
    assert [sent["code"] for sent in heard] == [code]


def test_a_scanned_link_gives_the_code_at_its_end(scan_page, heard):
    scan(scan_page, Keyboard(scan_page), f"http://192.168.1.20:8080/c/{LOT}")
    assert [sent["code"] for sent in heard] == [LOT]


def test_each_scan_has_a_key_of_its_own(scan_page, heard):
    keyboard = Keyboard(scan_page)
    scan(scan_page, keyboard, LOT)
    keyboard.wait(6_000)
    scan(scan_page, keyboard, LOT)
    assert len({sent["key"] for sent in heard}) == 2


def test_the_same_code_within_five_seconds_is_one_scan(scan_page, heard):
    keyboard = Keyboard(scan_page)
    scan(scan_page, keyboard, LOT)
    keyboard.wait(4_500)
    keyboard.type(LOT, gap_ms=12)
    other = format_code(CodeKind.STATION, next_number(CodeKind.STATION, 3))
    scan(scan_page, keyboard, other)
    assert [sent["code"] for sent in heard] == [LOT, other]


def test_the_second_enter_of_a_scanner_that_ends_with_two_does_nothing(scan_page, heard):
    scan_page.focus("#words")
    keyboard = Keyboard(scan_page)
    with scan_page.expect_navigation():
        keyboard.type(LOT, gap_ms=12)
        keyboard.type("", gap_ms=12)
    assert [sent["code"] for sent in heard] == [LOT]


@pytest.mark.parametrize(("field", "before"), [("words", "ab"), ("number", "7"), ("list", "None"), ("more", "kept")])
def test_what_a_burst_typed_into_a_field_is_taken_back_and_its_form_is_not_sent(scan_page, heard, field, before):
    scan_page.route("**/heard", lambda route: route.fulfill(status=204))  # stay on the page to look at the field
    scan_page.focus(f"#{field}")
    with scan_page.expect_request("**/heard") as request_made:
        Keyboard(scan_page).type(LOT, gap_ms=12)
    assert f"code={LOT}" in request_made.value.post_data
    assert scan_page.input_value(f"#{field}") == before


def test_the_cursor_stays_where_it_was(scan_page):
    scan_page.route("**/heard", lambda route: route.fulfill(status=204))
    scan_page.focus("#words")
    scan_page.evaluate("document.querySelector('#words').setSelectionRange(1, 1)")
    Keyboard(scan_page).type(LOT, gap_ms=12)
    assert scan_page.input_value("#words") == "ab"
    assert scan_page.evaluate("document.querySelector('#words').selectionStart") == 1


def test_slow_typing_is_left_alone_and_enter_sends_the_form_it_belongs_to(scan_page, heard):
    scan_page.fill("#words", "")
    scan_page.focus("#words")
    keyboard = Keyboard(scan_page)
    keyboard.type(LOT, gap_ms=100, end="")
    assert scan_page.input_value("#words") == LOT
    with scan_page.expect_navigation():
        keyboard.type("", gap_ms=100)
    assert len(heard) == 1
    assert "code" not in heard[0]


def test_a_hand_that_pauses_is_no_scanner_however_fast_the_rest_is(scan_page, heard):
    scan_page.fill("#words", "")
    scan_page.focus("#words")
    keyboard = Keyboard(scan_page)
    keyboard.type(LOT[:4], gap_ms=10, end="")
    keyboard.wait(200)
    keyboard.type(LOT[4:], gap_ms=10, end="")
    assert scan_page.input_value("#words") == LOT


def test_a_burst_right_after_typing_takes_back_only_what_the_scanner_typed(scan_page):
    scan_page.route("**/heard", lambda route: route.fulfill(status=204))
    scan_page.focus("#more")
    scan_page.evaluate("document.querySelector('#more').setSelectionRange(4, 4)")
    keyboard = Keyboard(scan_page)
    keyboard.type("xy", gap_ms=140, end="")
    keyboard.wait(100)
    keyboard.type(LOT, gap_ms=12)
    assert scan_page.input_value("#more") == "keptxy"


def test_other_fast_text_is_not_taken_for_a_code(scan_page, heard):
    scan_page.focus("#more")
    scan_page.evaluate("document.querySelector('#more').value = ''")
    Keyboard(scan_page).type("L12C-99", gap_ms=12)
    assert scan_page.input_value("#more") == "L12C-99\n"
    assert heard == []


@pytest.mark.parametrize("focused", ["body", "button"])
def test_a_label_that_is_none_of_ours_is_sent_to_be_refused_and_presses_no_button(scan_page, heard, focused):
    scan_page.locator(focused).last.focus()
    scan(scan_page, Keyboard(scan_page), "0012345678905")
    assert [sent["code"] for sent in heard] == ["0012345678905"]


def code_ending_in(letters: str) -> str:
    number = 0
    while True:
        number = next_number(CodeKind.LOT, number)
        code = format_code(CodeKind.LOT, number)
        if code[-1] in letters:
            return code


def test_a_scanner_set_to_another_layout_than_the_computer_is_read_by_the_place_of_its_keys(scan_page, heard):
    """An American scanner on a computer set to German: Y and Z change places, and so would two check characters."""
    code = code_ending_in("YZ")
    scan(scan_page, Keyboard(scan_page, layout=GERMAN), code)
    assert [sent["code"] for sent in heard] == [code]


def test_a_scanner_set_to_the_computers_own_layout_is_read_by_its_characters(scan_page, heard):
    """A German scanner on a German computer sends Z from the place where an American keyboard has Y."""
    code = code_ending_in("YZ")
    swapped = code[:-1] + {"Y": "Z", "Z": "Y"}[code[-1]]
    scan(scan_page, Keyboard(scan_page, layout=GERMAN), swapped)
    assert [sent["code"] for sent in heard] == [code]


def test_a_page_without_a_scan_form_looks_the_code_up(page, live_server):
    page.goto(f"{live_server}/components")
    page.wait_for_selector("[data-scan-ready]:not([hidden])")
    page.route("**/search?*", lambda route: route.fulfill(body="found"))
    with page.expect_navigation():
        Keyboard(page).type(LOT, gap_ms=12)
    assert page.url == f"{live_server}/search?q={LOT}"


def test_the_browser_and_the_core_agree_on_check_characters(page, live_server):
    page.goto(f"{live_server}/components")
    codes = [format_code(CodeKind.LOT, next_number(CodeKind.LOT, number)) for number in range(0, 90_000, 997)]
    wrong = [code[:-1] + ("0" if code[-1] != "0" else "1") for code in codes]
    answers = page.evaluate(
        "async ([good, bad]) => { const { checks } = await import('/static/js/burst.js'); "
        "return [good.every(checks), bad.some(checks)]; }",
        [codes, wrong],
    )
    assert answers == [True, False]
