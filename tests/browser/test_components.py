"""The page of components in a real browser."""

import pypdfium2
import pytest
import zxingcpp


def test_the_chosen_scheme_is_kept_and_marks_the_next_page_before_it_is_drawn(page, live_server):
    page.emulate_media(color_scheme="light")
    page.goto(live_server + "/components")
    light = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.get_by_role("button", name="Dark").click()
    page.goto(live_server + "/components/station", wait_until="commit")
    page.locator("body").wait_for(state="attached")  # there is none before the script in the head has run
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != light
    page.get_by_role("button", name="Auto").click()
    assert page.evaluate("document.documentElement.dataset.theme") is None


def test_paper_is_light_whatever_the_screen_is(page, live_server):
    page.emulate_media(color_scheme="dark")
    page.goto(live_server + "/components")
    page.get_by_role("button", name="Dark").click()
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate("(({color, backgroundColor}) => [color, backgroundColor])(getComputedStyle(document.body))")
    assert colours == ["rgb(20, 24, 28)", "rgb(255, 255, 255)"]
    assert not page.locator(".masthead").is_visible()


def test_keys_at_a_station_are_large_enough_for_gloves(page, live_server):
    page.goto(live_server + "/components/station")
    sizes = page.locator("main button, main input:visible, header button").evaluate_all(
        "all => all.map(each => { const box = each.getBoundingClientRect(); return [box.width, box.height]; })"
    )
    assert sizes
    assert min(min(size) for size in sizes) >= 48
    mains = page.locator("main .button--main").evaluate_all(
        "all => all.map(each => each.getBoundingClientRect().height)"
    )
    assert min(mains) >= 64


def test_the_number_pad_replaces_what_was_filled_in_and_then_adds_digits(page, live_server):
    page.goto(live_server + "/components/station")
    good = page.get_by_label("Good pieces")
    assert good.input_value() == "24"
    pad = page.get_by_role("group", name="Number keys")
    for name in ["1", "8", "0", "Take back the last digit"]:
        pad.get_by_role("button", name=name, exact=True).click()
    assert good.input_value() == "18"
    pad.get_by_role("button", name="Clear").click()
    assert good.input_value() == ""


def test_the_rule_says_in_words_what_it_draws(page, live_server):
    page.goto(live_server + "/components")
    words = page.locator("#rule ~ .rule svg[role=img]").first.get_attribute("aria-label")
    assert words == (
        "L00417C: 10 Saw passed; 20 Mill first side 80 % passed; 30 Mill second side 35 % passed; 40 Drill to do; "
        "50 Deburr to do; 60 Inspect to do"
    )


def test_the_rules_graduations_are_as_long_as_their_hours(page, live_server):
    """Saw 1.5 h, milling 14 h, 9 h, drill 4 h, deburr 3 h, inspect 2 h: 33.5 h in all."""
    page.goto(live_server + "/components")
    edges = (
        page.locator("#rule ~ .rule")
        .first.locator(".rule__operation")
        .evaluate_all("all => all.map(each => each.getAttribute('x1'))")
    )
    assert edges == [f"{done / 33.5 * 100:.2f}%" for done in (1.5, 15.5, 24.5, 28.5, 31.5)]


@pytest.mark.parametrize("size", ["Letter", "A4"])
def test_codes_print_at_their_true_size_and_are_read_from_the_print(page, live_server, tmp_path, size):
    page.goto(live_server + "/components")
    file = tmp_path / "components.pdf"
    page.pdf(path=str(file), format=size)
    read = set()
    with pypdfium2.PdfDocument(file) as document:
        for sheet in document:
            picture = sheet.render(scale=203 / 72).to_pil()
            read |= {code.text.rpartition("/")[2] for code in zxingcpp.read_barcodes(picture)}
    shown = page.locator(".codes .code").inner_text()
    assert read == {shown}
