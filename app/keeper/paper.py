"""The paper files: the review, each station's list and every open traveler, as files that need no server."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from flask import Flask, render_template
from markupsafe import Markup
from sqlalchemy import orm

from app.core.code128 import svg as bar_code
from app.floor import queries as floor_queries
from app.keeper.contents import REVIEW, Contents, read_contents, station_file, traveler_file
from app.keeper.file_names import with_file_links
from app.keeper.file_set import PageFile, free_name, replace_set
from app.keeper.style import inlined_style
from app.lots import queries as lot_queries
from app.lots import services as lot_services
from app.lots.models import Lot
from app.review.queries import morning
from app.safekeeping.errors import ForeignIndexError
from app.safekeeping.queries import is_foreign_index
from app.schedule.queries import awaits_order, why
from app.shared.clock import utc_now
from app.shared.codes import ISSUE
from app.shared.database import one_state
from app.shared.errors import PlainError
from app.shared.lease import HeldLease
from app.shared.progress import Progress, silent
from app.shared.qr import qr_svg
from app.shared.words import gettext, local, use_zone
from app.stations.models import Station
from app.stations.queries import down_now

LISTED: Final = 60
"""So many operations a station's list shows at most: about three sheets of paper."""


class BusyError(PlainError):
    """Another process writes paper files of this database."""

    def __init__(self) -> None:
        super().__init__(gettext("The paper files are being written at this moment. Try again in a minute."))


def write_paper(app: Flask, folder: Path, now: datetime, tell: Progress = silent) -> str:
    """Write the paper files of ``now`` into ``folder`` in place of the set before; return the name of their folder.

    All of them show one state of the database. ``tell`` hears how many pages of how many are done.

    Raises:
        BusyError: another process does so for this database.
        ForeignIndexError: the folder has an index.html that is not ours.
        NoShopError: the shop is not set up yet.
        OSError: something could not be written; the set before is still there.
    """
    engine: sa.Engine = app.extensions["lotwright_engine"]
    if is_foreign_index(folder):
        raise ForeignIndexError
    with _turn(engine) as lease, app.test_request_context(), one_state(engine) as session:
        contents = read_contents(session, now)
        use_zone(ZoneInfo(contents.shop.time_zone))
        name = free_name(folder, f"{local(now):%Y-%m-%d-%H%M}")
        replace_set(folder, name, _told(_pages(session, contents), contents, lease, tell), _index(contents, name))
        lot_ids = [lot.id for lot in contents.lots]
    with orm.Session(engine) as session:
        lot_services.note_files(session, lot_ids, now)
    return name


@contextmanager
def _turn(engine: sa.Engine) -> Iterator[HeldLease]:
    """Be the only one who writes paper files of this database."""
    lease = HeldLease(engine, "paper files", secrets.token_hex(8))
    if not lease.hold(utc_now()):
        raise BusyError
    try:
        yield lease
    finally:
        lease.leave()


def _told(pages: Iterator[PageFile], contents: Contents, lease: HeldLease, tell: Progress) -> Iterator[PageFile]:
    """Pass the pages on, telling and giving a sign of life after each."""
    total = 1 + len(contents.stations) + len(contents.lots)
    for done, page in enumerate(pages, start=1):
        yield page
        tell(done, total)
        if not lease.hold(utc_now()):  # this process was held up for so long that another took over
            raise BusyError


def _pages(session: orm.Session, contents: Contents) -> Iterator[PageFile]:
    files = contents.files

    def page(name: str, template: str, sheet: str, **shown: Any) -> PageFile:
        return PageFile(name, with_file_links(_render(template, contents, sheet, **shown), files))

    review = morning(session, contents.now)
    yield page(REVIEW, "review/review.html", "review", review=review, why=why, awaits_order=awaits_order)
    for station in contents.stations:
        yield page(
            station_file(station), "safekeeping/station.html", "paper", **_station_list(session, station, contents)
        )
    for lot in contents.lots:
        yield page(traveler_file(lot), "lots/traveler.html", "traveler", **_traveler(session, lot, contents))


def _station_list(session: orm.Session, station: Station, contents: Contents) -> dict[str, Any]:
    return {
        "station": station,
        "work": floor_queries.open_work(session, station.id),
        "queue": floor_queries.queue_of(session, station, LISTED),
        "downtime": next(iter(down_now(session, station, contents.now)), None),
    }


def _traveler(session: orm.Session, lot: Lot, contents: Contents) -> dict[str, Any]:
    story = lot_queries.traveler(session, lot.id)
    address = contents.shop.address.rstrip("/")
    return {
        "story": story,
        "lot": story.lot,
        "bar_code": bar_code,
        "qr": lambda code: qr_svg(f"{address}/c/{code}?{ISSUE}={story.issue}" if address else code),
    }


def _index(contents: Contents, name: str) -> str:
    return _render(
        "safekeeping/index.html",
        contents,
        "paper",
        review_file=f"{name}/{REVIEW}",
        station_files={each.id: f"{name}/{station_file(each)}" for each in contents.stations},
        traveler_files={each.id: f"{name}/{traveler_file(each)}" for each in contents.lots},
    )


def _render(template: str, contents: Contents, sheet: str, **shown: Any) -> str:
    style = Markup(inlined_style(sheet, "paper"))  # noqa: S704 - our own style sheets
    return render_template(
        template, frame="safekeeping/paper.html", on_paper=True, contents=contents, style=style, **shown
    )
