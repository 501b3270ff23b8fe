"""What looks for barriers finds them: a check that never fails would prove nothing."""

import pytest

from tests.browser.accessibility import faults_in_each_look

ROWS = "".join(f"<tr><td>{number}</td><td>bracket</td></tr>" for number in range(60))
PAGE = f"""<!doctype html><html lang="en"><title>Parts</title><style>
body {{ color: #222; background: #fff }}
@media (prefers-color-scheme: dark) {{ body {{ color: #eee; background: #111 }} }}
</style><main><h1>Parts</h1><table><tbody>{ROWS}</tbody></table><p id="last">the end</p></main></html>"""


def test_a_page_without_a_barrier_has_no_fault(page):
    page.set_content(PAGE)
    assert list(faults_in_each_look(page)) == []


@pytest.mark.parametrize(
    ("style", "where"),
    [
        ("color: #bbb", "light 1440 px: color-contrast"),
        ("color: #666", "dark 360 px: color-contrast"),
        ("background: #8a8a8a; color: #444", "light 1440 px: color-contrast"),
    ],
)
def test_one_row_of_many_that_is_too_pale_is_found(page, style, where):
    page.set_content(PAGE)
    page.evaluate(f"document.querySelectorAll('tr')[41].style = '{style}'")
    faults = list(faults_in_each_look(page))
    assert any(fault.startswith(where) and "tr:nth-child(42)" in fault for fault in faults)


def test_a_link_that_nearly_looks_like_the_words_around_it_is_found(page):
    page.set_content(PAGE)
    page.evaluate("document.querySelector('#last').innerHTML = 'Put <a href=\"#\">the others</a> beside it.'")
    page.evaluate("document.querySelector('a').style = 'color: #666; text-decoration: none'")
    faults = [fault.partition(" (")[0] for fault in faults_in_each_look(page)]
    assert "light 1440 px: link-in-text-block" in faults


def test_what_is_wider_than_the_glass_is_found(page):
    page.set_content(PAGE)
    page.evaluate("document.querySelector('#last').style = 'width: 900px'")
    assert [fault for fault in faults_in_each_look(page) if fault.endswith("scrolls sideways")] == [
        f"{scheme} {width} px: scrolls sideways" for scheme in ("light", "dark") for width in (360, 820)
    ]
