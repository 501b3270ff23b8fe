"""Makes the README's pictures from the demo: ``.venv/bin/python -m seed_demo.pictures`` (needs the test packages)."""

import io
import os
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import sqlalchemy as sa
from flask import Flask
from PIL import Image
from playwright.sync_api import Page, sync_playwright
from sqlalchemy import orm
from waitress.server import create_server

from app import create_app
from app.config import ROOT, Config, sqlite_url
from app.lots.models import Job, Lot
from app.people.models import Person
from app.shared.database import make_engine
from app.stations.models import Station
from seed_demo.build import build
from seed_demo.shop import PEOPLE

PRESENT = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
PICTURES = ROOT / "static" / "pictures"
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-sync"]
COLOURS = 64


def main() -> None:
    """Build the demo for a fixed day, walk to each page and keep its picture."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        config = Config(sqlite_url(folder / "demo.sqlite3"), folder, "for pictures")
        build(config, PRESENT)
        app = create_app(config, CLOCK=lambda: PRESENT)
        station_id, lot_id = _subjects(config)
        with _opened(app) as (page, address):
            page.goto(f"{address}/review")
            _keep(page.screenshot(clip={"x": 0, "y": 0, "width": 1280, "height": 900}), "review")
            page.set_viewport_size({"width": 1180, "height": 820})
            page.goto(f"{address}/floor/stations/{station_id}")
            for card in page.get_by_role("button", name="Seen").all():
                card.click()  # what the last shift left is read once; the picture shows the rest of the day
            _keep(page.screenshot(), "station")
            page.goto(f"{address}/lots/{lot_id}/traveler")
            page.pdf(path=str(folder / "traveler.pdf"), format="Letter")
        first = ["-f", "1", "-l", "1", "-r", "110", "-png", "-singlefile"]
        subprocess.run(  # noqa: S603 - Debian's own tool
            ["/usr/bin/pdftoppm", *first, str(folder / "traveler.pdf"), str(folder / "traveler")], check=True
        )
        _keep((folder / "traveler.png").read_bytes(), "traveler")


def _subjects(config: Config) -> tuple[int, int]:
    """Choose a station that runs something and an open lot with a routing of some length."""
    engine = make_engine(config.database_url)
    with orm.Session(engine) as session:
        running = sa.select(Station.id).join(Job).where(Station.name.startswith("Mill")).order_by(Station.name)
        station_id = session.scalars(running).first() or 1
        lot_id = session.scalars(sa.select(Lot.id).where(Lot.closed_at.is_(None)).order_by(Lot.number.desc())).first()
    engine.dispose()
    return station_id, lot_id or 1


@contextmanager
def _opened(app: Flask) -> Iterator[tuple[Page, str]]:
    """Serve the app and open a browser that is signed in as the first owner."""
    server = create_server(app, host="127.0.0.1", port=0, threads=4)
    threading.Thread(target=server.run, daemon=True).start()
    address = f"http://127.0.0.1:{server.effective_port}"
    with app.app_context(), orm.Session(app.extensions["lotwright_engine"]) as session:
        owner = session.scalars(sa.select(Person).where(Person.initials == PEOPLE[0].initials)).one()
    client = app.test_client()
    with client.session_transaction() as kept:
        kept["person_id"], kept["session_stamp"] = owner.id, owner.session_stamp
    cookie = client.get_cookie("lotwright")
    assert cookie is not None  # noqa: S101 - it was set two lines above
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    with sync_playwright() as playwright:
        flags = [*FLAGS, *(["--no-sandbox"] if is_root else [])]
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": address}])
        yield context.new_page(), address
        browser.close()


def _keep(png: bytes, name: str) -> None:
    """Write a picture with few colours, so that a checkout stays small."""
    picture = Image.open(io.BytesIO(png)).convert("RGB").quantize(COLOURS)
    picture.save(PICTURES / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
