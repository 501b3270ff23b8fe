"""Codes on the printed traveler, read back from its PDF by an independent decoder.

Sources: Code 128 is ISO/IEC 15417, QR is ISO/IEC 18004; zxing-cpp, which shares no code with ours, decodes both.
203 dpi is what a desktop label printer prints, 300 dpi a better one (common practice, no source).
"""

import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from app.people.models import Role
from tests.browser.conftest import browser, context, live_server, page, sign_in
from tests.factories.lots import make_ordered_lot
from tests.factories.stations import ShopFactory

pytestmark = pytest.mark.browser
__all__ = ["browser", "context", "live_server", "page", "sign_in"]  # fixtures of the browser tests, used here too

FORMATS = (zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode)


def pages_of(pdf: Path, dpi: int) -> list[Image.Image]:
    stem = pdf.with_suffix("")
    subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "-png", str(pdf), f"{stem}-{dpi}"], check=True)
    return [Image.open(file) for file in sorted(pdf.parent.glob(f"{stem.name}-{dpi}-*.png"))]


@pytest.fixture
def lot(session):
    ShopFactory(address="http://shop-pc:8080")
    return make_ordered_lot(session)


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_every_code_on_a_printed_traveler_reads_back(session, live_server, page, sign_in, lot, tmp_path, paper):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/lots/{lot.id}/traveler")
    pdf = tmp_path / f"{paper}.pdf"
    page.pdf(path=str(pdf), format=paper, prefer_css_page_size=False)
    printed = {text.inner_text() for text in page.locator(".traveler__code").all()}
    assert len(printed) == 1 + len(lot.operations)
    wanted = printed | {f"http://shop-pc:8080/c/{code}?issue=1" for code in printed}
    for dpi in (203, 300):
        read = {found.text for image in pages_of(pdf, dpi) for found in zxingcpp.read_barcodes(image, formats=FORMATS)}
        assert read == wanted, f"{paper} at {dpi} dpi"


def test_a_printed_traveler_says_which_page_of_how_many_it_is(session, live_server, page, sign_in, lot, tmp_path):
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/lots/{lot.id}/traveler")
    pdf = tmp_path / "traveler.pdf"
    page.pdf(path=str(pdf), format="Letter")
    text = subprocess.run(["pdftotext", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    pages = text.count("\f")
    assert [f"page {number} of {pages}" in text for number in range(1, pages + 1)] == [True] * pages
