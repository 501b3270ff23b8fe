"""Code 128: structure, the choice of sets, SVG, and reading by an independent decoder."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from app.core.code128 import QUIET_ZONE, module_widths, svg, symbol_values
from app.core.scan_code import CodeKind, format_code, next_number

PRINTABLE = "".join(map(chr, range(32, 127)))
SVG = "{http://www.w3.org/2000/svg}"
DPI = pytest.mark.parametrize("dpi", [203, 300])


def raster(widths, dots, height=40):
    """Return the symbol as a printer with so many dots a module would draw it: black bars on white."""
    bar = np.repeat(np.arange(len(widths)) % 2 == 0, np.array(widths) * dots)
    row = np.pad(bar, QUIET_ZONE * dots)
    return np.tile(np.where(row, 0, 255).astype(np.uint8), (height, 1))


def read(image):
    return [
        each.text
        for each in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.Code128))
    ]


def drawn(drawing):
    return ET.fromstring(drawing)  # noqa: S314 - drawn by us a moment ago


def whole_dots(dpi, module_mm=0.375):
    return round(module_mm * dpi / 25.4)


@DPI
@pytest.mark.parametrize("kind", CodeKind)
def test_printed_codes_are_read_back(kind, dpi):
    for after in (0, 416, kind.highest_number // 2):
        code = format_code(kind, next_number(kind, after))
        assert read(raster(module_widths(code), whole_dots(dpi))) == [code]


@DPI
def test_every_letter_symbol_is_read_back(dpi):
    for start in range(0, len(PRINTABLE), 10):
        text = "x" + PRINTABLE[start : start + 10] + "x"
        assert read(raster(module_widths(text, "B"), whole_dots(dpi))) == [text]


def test_every_pair_of_digits_is_read_back():
    for tens in range(10):
        text = "".join(f"{tens}{ones}" for ones in range(10))
        assert symbol_values(text)[0] == 105
        assert read(raster(module_widths(text), 3)) == [text]


@given(st.text(alphabet=st.sampled_from("0123456789AZ-z~ "), min_size=1, max_size=14))
def test_any_mixture_is_read_back(text):
    assert read(raster(module_widths(text), 3)) == [text]


@given(st.text(alphabet=PRINTABLE, min_size=1, max_size=30), st.sampled_from([None, "B", "C"]))
def test_bars_take_an_even_and_spaces_an_odd_number_of_modules(text, start):
    widths = module_widths(text, start)
    characters = [widths[place : place + 6] for place in range(0, len(widths) - 7, 6)]
    assert all(sum(character) == 11 and sum(character[::2]) % 2 == 0 for character in characters)
    assert widths[-7:] == (2, 3, 3, 1, 1, 1, 2)
    assert sum(widths) == 11 * len(symbol_values(text, start)) + 13


@given(st.text(alphabet=st.sampled_from("01AB"), min_size=1, max_size=9))
def test_no_start_gives_a_shorter_symbol_than_the_one_chosen(text):
    chosen = len(symbol_values(text))
    assert chosen == min(len(symbol_values(text, start)) for start in ("B", "C"))
    assert chosen <= len(text) + 2


@pytest.mark.parametrize(
    ("text", "start", "symbols"),
    [
        ("P0000417Y", None, (104, 48, 16, 99, 0, 4, 17, 100, 57)),
        ("1234", None, (105, 12, 34)),
        ("12345", None, (104, 17, 99, 23, 45)),
        ("12AB", None, (104, 17, 18, 33, 34)),
        ("AB", "C", (105, 100, 33, 34)),
        ("1234", "A", (103, 99, 12, 34)),
        ("A1234A", "A", (103, 33, 17, 18, 19, 20, 33)),
        ("A123456A", "A", (103, 33, 99, 12, 34, 56, 101, 33)),
    ],
)
def test_digits_go_in_pairs_where_that_is_shorter(text, start, symbols):
    assert symbol_values(text, start)[:-1] == symbols


@pytest.mark.parametrize(("text", "start"), [("é", None), ("\n", None), ("a", "A"), ("١٢", "C"), ("", None)])
def test_text_that_cannot_be_encoded_is_refused(text, start):
    with pytest.raises(ValueError, match="A bar code"):
        symbol_values(text, start)


def test_the_svg_draws_exactly_the_module_widths():
    root = drawn(svg("L00417D"))
    bars = root.findall(f"{SVG}g/{SVG}rect")
    widths = module_widths("L00417D")
    assert [int(bar.attrib["width"]) for bar in bars] == list(widths[::2])
    edges = np.cumsum((QUIET_ZONE, *widths))
    assert [int(bar.attrib["x"]) for bar in bars] == edges[:-1:2].tolist()
    assert root.get("viewBox") == f"0 0 {edges[-1] + QUIET_ZONE} 1"


def test_the_svg_is_sized_in_millimetres_with_its_quiet_zones():
    root = drawn(svg("L00417D", module_mm=0.5, height_mm=15))
    assert root.get("width") == f"{(sum(module_widths('L00417D')) + 20) * 0.5:g}mm"
    assert root.get("height") == "15mm"


def test_the_svg_is_an_image_with_a_name_black_on_white_without_styles():
    drawing = svg("A<&B")
    root = drawn(drawing)
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "A<&B"
    assert [part.get("fill") for part in root] == [None, "#fff", "#000"]
    assert "style" not in drawing
    assert "shape-rendering" not in drawing


@pytest.mark.parametrize("measures", [{"module_mm": 0}, {"height_mm": -1}, {"module_mm": float("nan")}])
def test_a_measure_that_is_not_above_zero_is_refused(measures):
    with pytest.raises(ValueError, match="above 0 mm"):
        svg("A", **measures)
