"""Templates keep the content policy, speak through gettext's frame, and fragments can be swapped on their own."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "templates"
SCRIPTS = [*(ROOT / "static" / "js").glob("*.js")]
EVERY_TEMPLATE = sorted(TEMPLATES.rglob("*.html"))

FORBIDDEN = {
    "an inline script": re.compile(r"<script(?![^>]*\bsrc=)", re.IGNORECASE),
    "an inline style sheet": re.compile(r"<style\b", re.IGNORECASE),
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.IGNORECASE),
    "an on... attribute": re.compile(r"<[a-z][^>]*\son[a-z]+\s*=", re.IGNORECASE),
    "hx-on": re.compile(r"\bhx-on\b", re.IGNORECASE),
    "a value that needs eval": re.compile(r"\bhx-[a-z:-]+\s*=\s*[\"'](?:js|javascript):", re.IGNORECASE),
    "a trigger filter, which needs eval": re.compile(r"\bhx-trigger\s*=\s*(\"[^\"]*\[|'[^']*\[)", re.IGNORECASE),
    "a link to a script": re.compile(r"href\s*=\s*[\"']\s*javascript:", re.IGNORECASE),
    "a file from elsewhere": re.compile(r"<(?:script|link|img)[^>]*(?:src|href)\s*=\s*[\"']https?:", re.IGNORECASE),
    "an attribute that htmx 4 no longer has": re.compile(
        r"\bhx-(?:disabled-elt|vars|params|prompt|ext|disinherit|inherit|request|history)\s*=", re.IGNORECASE
    ),
}
PAPER_FRAME = "safekeeping/paper.html"
"""Never served: a file of its own, with a stricter policy in its head, so its style has to be in it."""
JINJA_COMMENT = re.compile(r"\{#.*?#\}", re.DOTALL)
JINJA_TAG = re.compile(r"\{%.*?%\}", re.DOTALL)
JINJA_VALUE = re.compile(r"\{\{.*?\}\}", re.DOTALL)
MACRO = re.compile(r"\{%-?\s*macro\b.*?\{%-?\s*endmacro\s*-?%\}", re.DOTALL)
INCLUDED = re.compile(r"\{%-?\s*include\s+[\"']([^\"']+)[\"']")
FRAGMENT = re.compile(r"fragment=[\"']([^\"']+\.html)[\"']")
IN_A_FRAME = r"\s*\{% extends (\"[a-z/_]+\.html\"|frame(\|default\(\"[a-z/_]+\.html\"\))?) %\}"
"""``frame``: a page that also stands among the paper files."""
VOID = {"area", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}


def name_of(template: Path) -> str:
    return template.relative_to(TEMPLATES).as_posix()


def code_of(template: Path) -> str:
    return JINJA_COMMENT.sub("", template.read_text(encoding="utf-8"))


def is_macro_file(template: Path) -> bool:
    rest = JINJA_TAG.sub("", MACRO.sub("", code_of(template)))
    return "macro" in code_of(template) and not rest.strip()


PIECES = [template for template in EVERY_TEMPLATE if template.name.startswith("_")]
FRAGMENTS = [template for template in PIECES if not is_macro_file(template)]


class Roots(HTMLParser):
    """Collects the elements that stand at the top of a piece of markup, with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.depth = 0
        self.roots: list[dict[str, str | None]] = []
        self.loose_text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.depth == 0:
            self.roots.append(dict(attrs))
        if tag not in VOID:
            self.depth += 1

    def handle_startendtag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.depth == 0:
            self.roots.append(dict(attrs))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            self.depth -= 1

    def handle_data(self, data: str) -> None:
        if self.depth == 0:
            self.loose_text += data.strip()


def roots_of(source: str) -> Roots:
    """Read markup with its Jinja tags taken out and each value in its place kept as one harmless word."""
    roots = Roots()
    roots.feed(JINJA_TAG.sub("", JINJA_VALUE.sub("value", MACRO.sub("", source))))
    roots.close()
    return roots


def faults(source: str) -> Iterator[str]:
    """Name what the content policy would refuse in ``source``."""
    plain = JINJA_VALUE.sub("value", source)
    return (what for what, pattern in FORBIDDEN.items() if pattern.search(plain))


@pytest.mark.parametrize("template", EVERY_TEMPLATE, ids=name_of)
def test_a_template_has_nothing_that_the_content_policy_refuses(template):
    allowed = ["an inline style sheet"] if name_of(template) == PAPER_FRAME else []
    assert list(faults(code_of(template))) == allowed


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("<script>go()</script>", "an inline script"),
        ("<style>p { color: red }</style>", "an inline style sheet"),
        ('<p class="x" style="color: red">', "a style attribute"),
        ('<button\n onclick="go()">', "an on... attribute"),
        ('<p hx-on:click="go()">', "hx-on"),
        ("<p hx-vals='js:{a: 1}'>", "a value that needs eval"),
        ('<p hx-trigger="keyup[ctrlKey]">', "a trigger filter, which needs eval"),
        ('<a href="javascript:go()">', "a link to a script"),
        ('<script src="https://elsewhere.example/a.js"></script>', "a file from elsewhere"),
        ('<form hx-disabled-elt="button">', "an attribute that htmx 4 no longer has"),
    ],
)
def test_each_kind_of_fault_is_found(source, expected):
    assert expected in faults(source)


def test_words_that_only_look_alike_are_no_faults():
    assert list(faults('<p data-tone="x" class="once" id="on">onclick="no" style = plain</p>')) == []


@pytest.mark.parametrize("piece", PIECES, ids=name_of)
def test_a_piece_says_on_its_first_line_what_it_needs(piece):
    first = piece.read_text(encoding="utf-8").partition("\n")[0]
    assert first.startswith("{#")
    assert "need" in first.lower(), first


@pytest.mark.parametrize("fragment", FRAGMENTS, ids=name_of)
def test_a_fragment_is_one_element_with_its_own_id_so_that_it_can_be_swapped(fragment):
    found = roots_of(code_of(fragment))
    assert found.loose_text == ""
    assert len(found.roots) == 1, [root.get("id") or root.get("class") for root in found.roots]
    assert found.roots[0].get("id"), "the root element has no id"


def test_only_fragments_are_included_or_sent_alone():
    included = {name for template in EVERY_TEMPLATE for name in INCLUDED.findall(code_of(template))}
    for module in (ROOT / "app").rglob("*.py"):
        included |= set(FRAGMENT.findall(module.read_text(encoding="utf-8")))
    assert included <= {name_of(fragment) for fragment in FRAGMENTS}


@pytest.mark.parametrize("template", [each for each in EVERY_TEMPLATE if each not in PIECES], ids=name_of)
def test_a_page_stands_in_one_of_the_frames(template):
    source = code_of(template)
    is_frame = source.count("<!doctype html>") == 1
    assert is_frame or re.match(IN_A_FRAME, source)


@pytest.mark.parametrize("template", EVERY_TEMPLATE, ids=name_of)
def test_a_head_cell_says_what_it_heads(template):
    cells = re.findall(r"<th\b[^>]*>", JINJA_VALUE.sub("value", code_of(template)))
    assert [cell for cell in cells if "scope=" not in cell] == []


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.name)
def test_scripts_need_no_eval_and_put_no_markup_together(script):
    source = script.read_text(encoding="utf-8")
    assert not re.search(r"\beval\(|new Function|innerHTML|outerHTML|insertAdjacentHTML|document\.write", source)


def test_every_file_a_frame_or_sheet_names_is_there():
    for template in EVERY_TEMPLATE:
        for name in re.findall(r"filename=['\"]([^'\"]+)['\"]", template.read_text(encoding="utf-8")):
            assert (ROOT / "static" / name).is_file(), f"{name_of(template)} names {name}"
    for sheet in (ROOT / "static" / "css").rglob("*.css"):
        for name in re.findall(r"@import url\(\"([^\"]+)\"\)", sheet.read_text(encoding="utf-8")):
            assert (sheet.parent / name).is_file(), f"{sheet.name} names {name}"
