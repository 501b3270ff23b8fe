"""The paper files in a real browser, straight from the folder: no barrier to anyone, and on as few sheets as may be."""

import pytest

from app.keeper.paper import write_paper
from tests.browser.accessibility import faults_in_each_look
from tests.factories.lots import make_ordered_lot
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory


@pytest.fixture
def folder(app, session, now, tmp_path):
    ShopFactory()
    make_ordered_lot(session)
    plan_now(session, now)
    folder = tmp_path / "paper"
    folder.mkdir()
    write_paper(app, folder, now)
    return folder


@pytest.mark.parametrize("kind", ["index", "*/review", "*/station-*", "*/traveler-*"])
def test_a_file_is_no_barrier_to_anyone(folder, context, kind):
    """Axe needs a script in the page, which the file's own policy rightly refuses: here the policy is taken out."""
    file = sorted(folder.glob(f"{kind}.html"))[0]
    file.write_text(
        file.read_text(encoding="utf-8").replace("Content-Security-Policy", "x-no-policy"), encoding="utf-8"
    )
    page = context.new_page()
    page.goto(file.as_uri())
    assert list(faults_in_each_look(page)) == []


@pytest.mark.parametrize(("kind", "sheets"), [("*/review", 1), ("*/station-*", 1), ("index", 1)])
def test_it_prints_on_few_sheets(folder, context, kind, sheets):
    page = context.new_page()
    page.goto(sorted(folder.glob(f"{kind}.html"))[0].as_uri())
    for paper in ("Letter", "A4"):
        assert page.pdf(format=paper).count(b"/Type /Page\n") == sheets, paper
