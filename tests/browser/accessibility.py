"""WCAG 2.2 AA as far as a program can tell, checked with axe-core in both schemes and at three widths."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WIDTHS = (360, 820, 1440)
SCHEMES = ("light", "dark")
OPTIONS = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "resultTypes": ["violations"],
}


def assert_accessible(page: Page, url: str) -> None:
    """Open ``url`` and require, light and dark, at each width: no axe violation, no sideways scrolling of the page.

    Works in a second page beside ``page``, signed in as it is: axe sets styles that our content policy rightly reports.
    """
    answer = page.goto(url)
    assert answer is not None
    assert answer.ok, f"{url} answers {answer.status}"
    beside = page.context.new_page()
    for scheme in SCHEMES:
        beside.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # a Literal to mypy
        for width in WIDTHS:
            beside.set_viewport_size({"width": width, "height": 900})
            beside.goto(url)
            where = f"{url} {scheme} {width} px"
            assert beside.evaluate("document.documentElement.scrollWidth") <= width, f"{where} scrolls sideways"
            found = Axe().run(beside, options=OPTIONS)
            assert found.violations_count == 0, f"{where}: {found.generate_report()}"
    beside.close()
