"""The paper files: everything in one state, nothing that needs a server, and counted as prints."""

import re
from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.keeper import paper
from app.keeper.paper import BusyError, write_paper
from app.lots.models import TravelerPrint
from app.lots.queries import lot_name
from app.lots.services import SignOff, begin, hold_lot, sign_off
from app.safekeeping.errors import ForeignIndexError
from app.schedule.services import pin_lot
from app.shared.clock import utc_now
from app.shared.lease import HeldLease
from app.stations.errors import NoShopError
from tests.factories.lots import act, make_lot, make_ordered_lot, make_routing, station_of
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory, StationFactory


@pytest.fixture
def lot(session, now):
    ShopFactory(address="http://shop-pc:8080")
    lot = make_ordered_lot(session)
    plan_now(session, now)
    return lot


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "paper"
    folder.mkdir()
    return folder


@pytest.fixture
def written(app, session, now, folder):
    """Return a function that writes a set and gives its files by name."""

    def write(tell=lambda _done, _total: None):
        name = write_paper(app, folder, now, tell)
        pages = {file.name: file.read_text(encoding="utf-8") for file in (folder / name).iterdir()}
        return {"index.html": (folder / "index.html").read_text(encoding="utf-8"), **pages}

    return write


def test_a_set_has_the_review_each_stations_list_and_every_open_traveler(session, lot, written):
    pages = written()
    stations = [station_of(operation) for operation in lot.operations]
    wanted = {f"station-{each.number:02}-{each.name.lower().replace(' ', '-')}.html" for each in stations}
    code = next(name for name in pages if name.startswith("traveler-"))[9:-5]
    assert set(pages) == {"index.html", "review.html", f"traveler-{code}.html", *wanted}
    assert "As of Wed 7 Jan 2026, 09:00" in pages["index.html"]
    assert "As of Wed 7 Jan 09:00" in pages[f"traveler-{code}.html"]
    assert all(operation.title in pages[f"traveler-{code}.html"] for operation in lot.operations)


def test_every_link_leads_to_a_file_of_the_set_and_nothing_needs_a_server(session, lot, written):
    hold_lot(session, act(), make_ordered_lot(session).id, "drawing is unclear")
    pages = written()
    for name, page in pages.items():
        links = set(re.findall(r'(?:href|src|action)="([^"]*)"', page))
        here = {link for link in links if not link.startswith("#")}
        if name == "index.html":
            assert {link.split("/", 1)[1] for link in here} == set(pages) - {"index.html"}
        else:
            assert here <= {"../index.html", *pages}, name
        markup = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
        assert not re.search(r"<(script|form|button|link|img|iframe)\b", markup), name
        assert "default-src 'none'" in page
        assert "url(" not in re.sub(r"url\(#[a-z-]+\)", "", page), name
        assert "{{" not in page


def test_every_sheet_with_an_order_or_dates_warns_of_an_old_forecast(app, lot, now, folder):
    name = write_paper(app, folder, now + timedelta(hours=4))
    station = next((folder / name).glob("station-*.html"))
    for page in (folder / "index.html", folder / name / "review.html", station):
        text = page.read_text(encoding="utf-8")
        assert "This forecast is 4\u00a0h old, of Wed 7 Jan 09:00: the planner has not answered since." in text
        assert "Start the server" not in text


@pytest.fixture
def two(session, now):
    """Return two lots of one routing: the first, and one released after it that goes before it."""
    ShopFactory()
    routing = make_routing()
    plain, pinned = make_lot(session, routing=routing), make_lot(session, routing=routing)
    pin_lot(session, pinned.id, None, now)
    plan_now(session, now)
    return plain, pinned


def list_of(pages, operation):
    return next(page for name, page in pages.items() if name.startswith(f"station-{station_of(operation).number:02}-"))


def test_a_stations_list_is_in_the_order_of_the_forecast_with_boxes_to_write_in(session, two, written):
    plain, pinned = two
    page = list_of(written(), plain.operations[0])
    order = re.findall(r'class="code" href="traveler-(\w+)\.html"', page)
    assert order == [lot_name(pinned), lot_name(plain)]
    assert page.count('class="paper__box"') == 12
    assert "Initials</th>" in page


def test_what_runs_now_stands_first_and_what_is_held_has_no_boxes(session, now, two, written):
    plain, pinned = two
    operation = plain.operations[0]
    begin(session, act(station_id=station_of(operation).id), [operation.id])
    hold_lot(session, act(), pinned.id, "wrong heat")
    plan_now(session, now)
    page = list_of(written(), operation)
    assert page.index("runs since Wed 7 Jan 09:00") < page.index("Cannot run: wrong heat")
    assert page.count('class="paper__box"') == 6


def test_closed_lots_vanish_and_idle_stations_say_so(session, lot, written):
    StationFactory(name="Über: bench?")
    assert any(name.startswith("traveler-") for name in written())
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, 50)])
    session.refresh(lot)
    if lot.closed_at is None:
        pytest.fail("the lot is still open")
    pages = written()
    assert not any(name.startswith("traveler-") for name in pages)
    assert "0 open travelers" in pages["index.html"]
    idle = next(name for name in pages if name.endswith("-uber-bench.html"))
    assert "Nothing waits for this station." in pages[idle]


def test_a_set_counts_as_a_print_of_each_open_lot_once(session, now, lot, written):
    written()
    written()
    rows = session.execute(sa.select(TravelerPrint.lot_id, TravelerPrint.printed_at, TravelerPrint.in_files)).all()
    assert rows == [(lot.id, now, True)]


def test_it_tells_how_many_pages_are_done(session, lot, written):
    told = []
    written(lambda done, total: told.append((done, total)))
    assert told == [(number, 5) for number in range(1, 6)]


def test_without_a_shop_or_over_another_index_nothing_is_written(app, session, now, folder):
    with pytest.raises(NoShopError):
        write_paper(app, folder, now)
    assert list(folder.glob("*index*")) == []
    (folder / "index.html").write_text("the shop's own page")
    with pytest.raises(ForeignIndexError):
        write_paper(app, folder, now)


def test_of_two_writers_at_once_one_waits_its_turn(app, engine, session, lot, now, folder):
    other = HeldLease(engine, "paper files", "other")
    assert other.hold(utc_now())
    with pytest.raises(BusyError):
        write_paper(app, folder, now)
    assert list(folder.iterdir()) == []
    other.leave()
    write_paper(app, folder, now)


def test_a_page_that_fails_leaves_the_set_before(app, session, lot, now, folder, monkeypatch):
    first = write_paper(app, folder, now)
    monkeypatch.setattr(paper, "qr_svg", lambda text: (_ for _ in ()).throw(RuntimeError("made to fail")))
    with pytest.raises(RuntimeError, match="made to fail"):
        write_paper(app, folder, now)
    assert {each.name for each in folder.iterdir()} == {"index.html", first}
    monkeypatch.undo()
    write_paper(app, folder, now)  # and its turn was given up
