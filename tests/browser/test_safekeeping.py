"""An owner sets the folders, asks for paper files, opens them without a server, and prints a traveler that scans.

Sources: Code 128 is ISO/IEC 15417, QR is ISO/IEC 18004; zxing-cpp, which shares no code with ours, decodes both.
"""

import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import expect

from app.keeper.process import start
from app.lots.queries import lot_name, operation_code
from app.people.models import Role
from app.shared.clock import utc_now
from tests.factories.lots import make_ordered_lot
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory
from tests.faults.conftest import config

__all__ = ["config"]  # a fixture of the tests with real processes, used here too

FORMATS = (zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode)


@pytest.fixture
def lot(session, now, clock):
    clock.now = utc_now()  # the keeper's process has no clock but the real one
    ShopFactory(address="http://shop-pc:8080")
    lot = make_ordered_lot(session)
    plan_now(session, clock.now)
    return lot


@pytest.fixture
def keeper(config, lot):
    process = start(config)
    yield process
    process.stop()


def codes_of(pdf: Path) -> set[str]:
    """Read every code of a PDF's pages at 203 dpi, as a desktop label printer prints (common practice, no source)."""
    subprocess.run(["pdftoppm", "-r", "203", "-gray", "-png", str(pdf), str(pdf.with_suffix(""))], check=True)
    images = [Image.open(file) for file in sorted(pdf.parent.glob(f"{pdf.stem}-*.png"))]
    return {found.text for image in images for found in zxingcpp.read_barcodes(image, formats=FORMATS)}


def test_an_owner_sets_folders_writes_now_and_prints_from_the_files(
    lot, keeper, live_server, page, sign_in, context, tmp_path
):
    folder = tmp_path / "for the phones"
    sign_in(Role.OWNER)
    page.goto(f"{live_server}/review")
    expect(page.get_by_text("Paper files: not set up")).to_be_visible()
    page.get_by_role("main").get_by_role("link", name="Paper files and backup").click()
    paper = page.get_by_role("region", name="Paper files")
    paper.get_by_label("Folder").fill(str(folder))
    paper.get_by_role("button", name="Save").click()
    expect(paper.locator("#paper-folder-errors")).to_contain_text("Make it first")
    folder.mkdir()
    paper.get_by_role("button", name="Save").click()
    expect(paper.get_by_text("Paper files of")).to_be_visible()  # the first set is written at once
    first = (folder / "index.html").read_text(encoding="utf-8")
    paper.get_by_role("button", name="Write the paper files now").click()
    expect(paper.get_by_text("To open:")).to_be_visible()
    assert (folder / "index.html").read_text(encoding="utf-8") != first

    files = context.new_page()
    asked = []
    files.on("request", lambda request: asked.append(request.url))
    files.goto((folder / "index.html").as_uri())
    files.get_by_role("link", name=lot_name(lot)).click()
    expect(files.get_by_text("As of")).to_be_visible()
    pdf = tmp_path / "traveler.pdf"
    files.pdf(path=str(pdf), format="Letter")
    codes = {lot_name(lot), *(operation_code(operation) for operation in lot.operations)}
    assert codes_of(pdf) == codes | {f"http://shop-pc:8080/c/{code}?issue=1" for code in codes}
    files.get_by_role("link", name="All paper files").click()
    files.get_by_role("link", name="Morning review").click()
    expect(files.get_by_role("heading", name="Morning review")).to_be_visible()
    assert {url.split(":", 1)[0] for url in asked} == {"file"}
