"""WCAG 2.2 AA as far as a program can tell, checked with axe-core in both schemes and at three widths."""

import json
from collections.abc import Iterator

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WIDTHS = (360, 820, 1440)
SCHEMES = ("light", "dark")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
OF_COLOURS = ["color-contrast", "link-in-text-block"]
COLOURS = {"runOnly": OF_COLOURS, "resultTypes": ["violations"], "preload": False}
ONE_OF_EACH_LOOK = """() => {
  const looks = new Map();
  const text = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const shown = [...document.querySelectorAll("input, select, textarea")];
  while (text.nextNode()) if (text.currentNode.data.trim()) shown.push(text.currentNode.parentElement);
  for (const each of new Set(shown)) {
    if (!each.checkVisibility()) continue;
    const own = getComputedStyle(each);
    const look = [each.tagName, each.getAttribute("class"), own.color, own.fill, own.fontSize, own.fontWeight,
                  own.textShadow, !!each.closest(":disabled, [aria-disabled=true]")];
    for (let around = each; around; around = around.parentElement) {
      const style = getComputedStyle(around);
      look.push(style.backgroundColor, style.backgroundImage, style.opacity);
    }
    const key = look.join();
    if (!looks.has(key)) looks.set(key, each);
  }
  return [...looks.values()];
}"""
"""What shows text, one for each tag, class, colour, size and ground: a table's hundredth row looks like its first."""
ALL_BUT_COLOURS = {
    "runOnly": TAGS,
    "rules": {name: {"enabled": False} for name in OF_COLOURS},
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
    beside.goto(url)
    assert list(faults_in_each_look(beside)) == [], url
    beside.close()


def faults_in_each_look(page: Page) -> Iterator[str]:
    """Yield what is wrong with the open page, light and dark, at each width.

    What a scheme decides is looked at once in each, in one where a page shows most and in the other where it shows
    least. Style sheets, which axe fetches once more for a rule about them, are the same at each width.
    """
    page.evaluate(Axe().axe_script)
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # a Literal to mypy
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            yield from (f"{scheme} {width} px: {fault}" for fault in _faults(page, scheme, width))


def _faults(page: Page, scheme: str, width: int) -> Iterator[str]:
    if page.evaluate("document.documentElement.scrollWidth") > width:
        yield "scrolls sideways"
    if scheme == SCHEMES[0]:
        yield from _violations(page, "document", {**ALL_BUT_COLOURS, "preload": width == max(WIDTHS)})
    if width == (max(WIDTHS) if scheme == SCHEMES[0] else min(WIDTHS)):
        yield from _violations(page, f"({ONE_OF_EACH_LOOK})()", COLOURS)


def _violations(page: Page, where: str, options: dict) -> Iterator[str]:
    found = page.evaluate(f"axe.run({where}, {json.dumps(options)}).then(results => results.violations)")
    return map(_told, found)


def _told(violation: dict) -> str:
    where = "; ".join(" ".join(node["target"]) + ": " + node["failureSummary"] for node in violation["nodes"])
    return f"{violation['id']} ({violation['help']}) at {where}"
