"""A tablet at a station: scans, taps and forms with fresh keys, and people whose PIN is known."""

import itertools
import re
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from sqlalchemy import orm
from werkzeug.datastructures import MultiDict
from werkzeug.security import generate_password_hash
from werkzeug.test import TestResponse

from app.lots.models import Lot, LotOperation
from app.lots.queries.names import operation_code
from app.people.models import Person
from app.stations.models import Station
from tests.conftest import ShopClock
from tests.factories.lots import make_lot, station_of
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

PIN = "7305"
PIN_HASH = generate_password_hash(PIN, method="pbkdf2:sha256:1")


class Tablet:
    """A browser at one station; after each request the test's own session looks afresh."""

    keys = itertools.count(1)

    def __init__(self, client: FlaskClient, session: orm.Session, clock: ShopClock, station: Station) -> None:
        self.client = client
        self.session = session
        self.clock = clock
        self.station_id = station.id
        self.home = f"/floor/stations/{station.id}"

    def get(self, path: str = "", **more) -> TestResponse:
        self.session.rollback()
        return self.client.get(self.home + path, **more)

    def post(self, path: str, **fields) -> TestResponse:
        data = {"key": f"tablet-{next(self.keys)}", **fields}
        return self.send(self.home + path, {name: each for name, each in data.items() if each is not None})

    def send(self, address: str, data) -> TestResponse:
        self.session.rollback()
        try:
            return self.client.post(address, data=data)
        finally:
            self.session.rollback()

    def scan(self, code: str, **fields) -> TestResponse:
        """Scan a code, long enough after the one before."""
        self.clock.forward(seconds=10)
        return self.post("/scans", code=code, **fields)

    def sign_on(self, person: Person, pin: str = PIN) -> TestResponse:
        return self.post("/sign-ons", badge=person.badge_code, pin=pin)

    def at(self, operation: LotOperation, path: str = "") -> str:
        return f"/operations/{operation.id}{path}"

    def done(self, operation: LotOperation, **counts) -> TestResponse:
        """Send the 'done' form of one lot as the page fills it in, with other ``counts``."""
        pieces = operation.in_work + operation.counted
        whole = {name: counts.pop(name) for name in ("key", "age", "code") if name in counts}
        fields = {"good": pieces, "offered": pieces, "cause": operation.id, **counts}
        named = {f"lot{operation.id}-{name}": each for name, each in fields.items()}
        return self.post(self.at(operation, "/sign-offs"), operations=operation.id, **named, **whole)


@pytest.fixture
def shop(session):
    return ShopFactory()


@pytest.fixture
def lot(session, shop) -> Lot:
    """Return a lot of 50 pieces with three operations, each at a station of its own."""
    return make_lot(session)


@pytest.fixture
def person(session) -> Callable[..., Person]:
    def make(*roles: str, **facts) -> Person:
        return PersonFactory(roles=list(roles) or ["operator"], pin_hash=PIN_HASH, **facts)

    return make


@pytest.fixture
def tablet_at(app, session, clock) -> Callable[..., Tablet]:
    """Return a function that gives a fresh browser at a station."""

    def make(station: Station) -> Tablet:
        return Tablet(app.test_client(), session, clock, station)

    return make


@pytest.fixture
def sam(person) -> Person:
    return person("operator", name="Sam Okafor")


@pytest.fixture
def tablet(tablet_at, lot, sam) -> Tablet:
    """Return the tablet at the first operation's station with Sam signed on."""
    tablet = tablet_at(station_of(lot.operations[0]))
    tablet.sign_on(sam)
    return tablet


@pytest.fixture
def begun(tablet: Tablet, lot: Lot) -> LotOperation:
    """Return the first operation, whose set-up was begun by a scan."""
    operation = lot.operations[0]
    assert tablet.scan(operation_code(operation)).status_code == 303
    return operation


def refusal(response: TestResponse) -> str:
    """Return the sentence of what a page refused."""
    assert response.status_code == 422, response.status_code
    found = re.search(r'id="refusal".*?<p>(.*?)</p>', response.text, re.DOTALL)
    assert found, "the page shows no refusal"
    return words(found[1])


def words(html: str) -> str:
    """Return text as a person reads it."""
    plain = re.sub(r"<[^>]*>", " ", html).replace("&#39;", "'").replace("&#34;", '"').replace("&amp;", "&")
    return " ".join(plain.split())


def offer(response: TestResponse, label: str) -> tuple[str, list[tuple[str, str]]]:
    """Return where an offered key sends to and its fields, as a browser would send them."""
    forms = re.findall(r'<form method="post" action="([^"]*)"[^>]*>(.*?)</form>', response.text, re.DOTALL)
    for action, body in forms:
        button = re.search(r'<button[^>]*?name="([^"]*)" value="([^"]*)">([^<]*)</button>', body)
        if button and button[3].strip() == label:
            hidden = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', body)
            return action, [*hidden, (button[1], button[2])]
    raise AssertionError(f"nothing offers {label!r}")


def accept(tablet: Tablet, response: TestResponse, label: str) -> TestResponse:
    """Press an offered key."""
    action, fields = offer(response, label)
    return tablet.send(action, MultiDict(fields))
