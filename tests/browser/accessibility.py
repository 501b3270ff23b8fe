"""WCAG 2.2 AA as far as a program can tell, checked with axe-core in both schemes and at three widths."""

import json
from collections.abc import Iterator

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WIDTHS = (360, 820, 1440)
SCHEMES = ("light", "dark")
OPTIONS = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "resultTypes": ["violations"],
}
RUN = f"axe.run({json.dumps(OPTIONS)}).then(results => results.violations)"


def assert_accessible(page: Page, url: str) -> None:
    """Open ``url`` and require, light and dark, at each width: no axe violation, no sideways scrolling of the page.

    Works in a second page beside ``page``, signed in as it is: axe sets styles that our content policy rightly reports.
    """
    answer = page.goto(url)
    assert answer is not None
    assert answer.ok, f"{url} answers {answer.status}"
    beside = page.context.new_page()
    beside.goto(url)
    assert list(faults_in_each_look(beside)) == [], url
    beside.close()


def faults_in_each_look(page: Page) -> Iterator[str]:
    """Yield what is wrong with the open page, light and dark, at each width."""
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # a Literal to mypy
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            yield from (f"{scheme} {width} px: {fault}" for fault in _faults(page, width))


def _faults(page: Page, width: int) -> list[str]:
    sideways = page.evaluate("document.documentElement.scrollWidth") > width
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    return [*(["scrolls sideways"] if sideways else []), *map(_told, page.evaluate(RUN))]


def _told(violation: dict) -> str:
    where = "; ".join(" ".join(node["target"]) + ": " + node["failureSummary"] for node in violation["nodes"])
    return f"{violation['id']} ({violation['help']}) at {where}"
