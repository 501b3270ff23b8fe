"""Every page that answers to a GET, opened on the demo shop: no axe violation, no sideways scrolling, no script error.

The shop's names are made as long as no line holds: no name may make a page wider than the glass.

A new route is found by itself; one whose arguments nobody named here fails until somebody does.
"""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from flask import Flask
from playwright.sync_api import Browser, Page
from sqlalchemy import orm
from waitress.server import create_server
from werkzeug.routing import Rule

from app import create_app
from app.config import Config, sqlite_url
from app.core.scan_code import CodeKind, format_code
from app.floor.models import SignOn
from app.lots.models import Job, LotOperation
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt, Vendor
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.parts.models import Characteristic, OperationFile, OperationKind, Part, Revision, RoutingOperation
from app.people.models import Person
from app.quality.models import Gauge, GaugeStudy, Nonconformance
from app.shipping.models import GoodsReturn, Shipment, ShipmentLine
from app.stations.models import Downtime, Overtime, Station, WorkCenter
from tests.browser.accessibility import faults_in_each_look
from tests.demo_shop import NAME, PRESENT, build_once

NOT_PAGES = ("/static/", "/sign-in", "/setup", "/shop/set-up")
"""Files, and pages for somebody who is not signed in or a shop that is not set up: tested by their areas."""

SHARES = 12
"""So that a worker who has walked all other journeys can take some of what takes by far the longest."""
PATIENCE_S = 600
"""How long a worker waits for another that builds the demo."""


def first(model: Any, *where: Any, column: Any = None) -> sa.Select[Any]:
    return sa.select(column if column is not None else model.id).where(*where).order_by(model.id.desc()).limit(1)


OPEN_LOT = sa.select(LotOperation.lot_id).join(Job, Job.operation_id == LotOperation.id).limit(1)
MEASURING = "/floor/stations/<int:station_id>/operations/<int:operation_id>/readings"
MEASURED = (
    sa.select(LotOperation.id).join(Job, Job.operation_id == LotOperation.id).where(LotOperation.measured).limit(1)
)
SUBJECTS: dict[str, sa.Select[Any]] = {
    "characteristic_id": first(Characteristic),
    "customer_id": first(Customer),
    "delivery_id": first(Delivery, Delivery.closed_at.is_(None)),
    "downtime_id": first(Downtime),
    "file_id": first(OperationFile),
    "gauge_id": first(Gauge),
    "kind_id": first(OperationKind),
    "lot_id": OPEN_LOT,
    "nonconformance_id": first(Nonconformance),
    "overtime_id": first(Overtime),
    "part_id": first(Part),
    "person_id": first(Person),
    "receipt_id": first(Receipt),
    "revision_id": first(Revision, Revision.current),
    "return_id": first(GoodsReturn),
    "shipment_id": first(Shipment),
    "station_id": sa.select(Job.station_id).limit(1),
    "study_id": first(GaugeStudy),
    "vendor_id": first(Vendor),
    "work_center_id": first(WorkCenter),
    "order_id": first(CustomerOrder),
    "line_id": first(OrderLine),
    "operation_id": sa.select(Job.operation_id).limit(1),
}
BY_PREFIX: dict[tuple[str, str], sa.Select[Any]] = {
    ("/material-orders", "order_id"): first(MaterialOrder),
    ("/purchasing", "order_id"): first(MaterialOrder),
    ("/material-orders", "line_id"): first(MaterialOrderLine, MaterialOrderLine.closed_at.is_(None)),
    ("/purchasing", "line_id"): first(MaterialOrderLine, MaterialOrderLine.closed_at.is_(None)),
    ("/parts/operations", "operation_id"): first(RoutingOperation),
    (MEASURING, "operation_id"): MEASURED.with_only_columns(LotOperation.id),
    (MEASURING, "station_id"): MEASURED.with_only_columns(Job.station_id),
    ("/stations", "station_id"): first(Station),
    ("/trace", "subject_id"): first(ShipmentLine, column=ShipmentLine.lot_id),
}
FIXED = {"kind": "lot", "version": 1, "number": 1, "move": "counts", "kept": "paper"}
QUERIES = {
    "/lots/new": "?delivery={delivery_id}",
    "/search": "?q=2",
    "/orders/new/part": "?row=lines-0",
    "/purchasing/orders/new": "?revision={revision_id}",
}


class Shown:
    """The demo shop, served, and what its addresses name."""

    def __init__(self, app: Flask, session: orm.Session, address: str) -> None:
        self.app, self.session, self.address = app, session, address

    def value(self, rule: str, name: str) -> Any:
        if name in FIXED:
            return FIXED[name]
        if name == "code":
            receipt = self.session.scalars(sa.select(Receipt.number).limit(1)).one()
            return format_code(CodeKind.RECEIPT, receipt)
        chosen = next(
            (each for (start, kind), each in BY_PREFIX.items() if rule.startswith(start) and kind == name), None
        )
        return self.session.scalars(chosen if chosen is not None else SUBJECTS[name]).first()

    def path(self, rule: Rule) -> str | None:
        """Return the address of a page, or None where the demo has nothing that it could be about."""
        values = {name: self.value(rule.rule, name) for name in rule.arguments}
        if any(value is None for value in values.values()):
            return None
        adapter = self.app.url_map.bind("")
        query = QUERIES.get(rule.rule, "")
        named = {name: self.session.scalars(chosen).first() for name, chosen in SUBJECTS.items() if name in query}
        return str(adapter.build(rule.endpoint, values)) + query.format(**named)

    def pages(self) -> list[str]:
        rules = [rule for rule in self.app.url_map.iter_rules() if "GET" in (rule.methods or ())]
        chosen = [rule for rule in rules if not rule.rule.startswith(NOT_PAGES)]
        return sorted({path for rule in chosen if (path := self.path(rule))})


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Iterator[Shown]:
    own = tmp_path_factory.getbasetemp()
    folder = (own if worker_id == "master" else own.parent) / "demo"  # the same one for all workers
    folder.mkdir(exist_ok=True)
    config = Config(sqlite_url(folder / NAME), folder, "for every page")
    with _one_at_a_time(folder.with_suffix(".lock")):
        is_built = (folder / NAME).exists()
        if not is_built:
            build_once(config, folder)
        app = create_app(config, CLOCK=lambda: PRESENT)
        engine = app.extensions["lotwright_engine"]
        if not is_built:
            _change(engine)
    server = create_server(app, host="127.0.0.1", port=0, threads=4)
    threading.Thread(target=server.run, daemon=True).start()
    with orm.Session(engine) as session:
        yield Shown(app, session, f"http://127.0.0.1:{server.effective_port}")
    engine.dispose()


@contextmanager
def _one_at_a_time(lock: Path) -> Iterator[None]:
    """Wait until no other process is in here."""
    with closing(sqlite3.connect(lock, timeout=PATIENCE_S, isolation_level=None)) as connection:
        connection.execute("BEGIN EXCLUSIVE")
        yield


def _change(engine: sa.Engine) -> None:
    """Make the demo harder to show, and all its pages open to be shown."""
    with orm.Session(engine) as session:
        _lengthen_names(session)
        _sign_on(session)


def _lengthen_names(session: orm.Session) -> None:
    """Give people, stations, customers, vendors and parts names of one word that no line holds."""
    for model in (Person, Station, WorkCenter, Customer, Vendor, Part):
        session.execute(sa.update(model).values(name=model.name + "WM" * 20))
    session.execute(sa.update(Part).values(number=Part.number + "W" * 24))
    session.commit()


def _sign_on(session: orm.Session) -> None:
    """Have somebody work at the station whose pages are opened: without that they ask for a badge."""
    station_id, person_id = session.scalars(SUBJECTS["station_id"]).one(), session.scalars(SUBJECTS["person_id"]).one()
    session.add(SignOn(station_id=station_id, person_id=person_id, begun_at=PRESENT, seen_at=PRESENT))
    session.commit()


@pytest.fixture
def owner_page(browser: Browser, demo: Shown) -> Iterator[Page]:
    person = demo.session.scalars(sa.select(Person).order_by(Person.id)).first()
    assert person is not None
    client = demo.app.test_client()
    with client.session_transaction() as kept:
        kept["person_id"], kept["session_stamp"] = person.id, person.session_stamp
    cookie: Any = client.get_cookie(demo.app.config["SESSION_COOKIE_NAME"])
    context = browser.new_context()
    context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": demo.address}])
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("number", range(SHARES), ids=lambda number: f"share {number + 1} of {SHARES}")
def test_every_page_is_accessible_and_fits(demo, owner_page, number):
    faults, seen = [], 0
    owner_page.on("pageerror", lambda error: faults.append(f"{owner_page.url} script error: {error}"))
    for path in demo.pages()[number::SHARES]:
        answer = owner_page.request.get(f"{demo.address}{path}", max_redirects=0)
        if answer.status >= 500:
            faults.append(f"{path} answers {answer.status}")
        if answer.status != 200 or "<html" not in answer.text():
            continue
        seen += 1
        owner_page.goto(f"{demo.address}{path}")
        faults += [f"{path} {fault}" for fault in faults_in_each_look(owner_page)]
    assert faults == []
    assert seen > 60 // SHARES
