"""Fixtures that every test may use: a migrated database, the app, a client that behaves like a browser, a session."""

import gc
import itertools
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings
from sqlalchemy import orm

from app import create_app
from app.config import Config, sqlite_url
from app.people.models import Role
from app.shared.database import make_engine
from app.shared.schema import upgrade
from tests.factories.base import factory_session
from tests.factories.people import PersonFactory
from tests.postgres import REQUIRED, PostgresServer

# Where everything has to run, the same examples every time: what is new is looked for where somebody can look into it.
settings.register_profile("time never decides", deadline=None, derandomize=REQUIRED in os.environ)
settings.load_profile("time never decides")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--database", choices=["sqlite", "postgresql"], default="sqlite", help="where app tests keep data")


def pytest_collection_finish() -> None:
    """Leave what was imported and collected out of looking for garbage, which took a thirtieth of the tests' time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)


class ShopClock:
    """A clock that tests set and move: Wednesday 7 January 2026, 15:00 UTC (09:00 in Chicago)."""

    def __init__(self) -> None:
        self.now = datetime(2026, 1, 7, 15, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **how_long: float) -> None:
        self.now += timedelta(**how_long)


class SameSiteClient(FlaskClient):
    """Sends the Origin header that a browser sends with each change."""

    def open(self, *args, **kwargs):
        if kwargs.get("method", "GET") == "POST":
            headers = dict(kwargs.pop("headers", None) or {})
            headers.setdefault("Origin", "http://localhost")
            kwargs["headers"] = headers
        return super().open(*args, **kwargs)


@pytest.fixture(scope="session")
def postgres() -> Iterator[PostgresServer]:
    with PostgresServer.started() as server:
        yield server
        server.close()


@pytest.fixture(scope="session")
def template_database(request, tmp_path_factory) -> Path | str:
    """Return a migrated, empty database to copy for each test."""
    if request.config.getoption("--database") == "postgresql":
        return request.getfixturevalue("postgres").migrated_template()
    file = tmp_path_factory.mktemp("template") / "empty.sqlite3"
    engine = make_engine(sqlite_url(file))
    upgrade(engine)
    engine.dispose()
    return file


@pytest.fixture
def new_database(request, template_database, tmp_path) -> Callable[[], AbstractContextManager[str]]:
    """Return a way to make further databases: each call gives the URL of a fresh copy of the template."""
    numbers = itertools.count(1)

    @contextmanager
    def copy() -> Iterator[str]:
        if not isinstance(template_database, Path):
            with request.getfixturevalue("postgres").copy_of(template_database) as url:
                yield url
            return
        file = tmp_path / f"test{next(numbers)}.sqlite3"
        file.write_bytes(template_database.read_bytes())
        yield sqlite_url(file)
        file.unlink()

    return copy


@pytest.fixture
def database_url(new_database) -> Iterator[str]:
    """Return the URL of this test's own database."""
    with new_database() as url:
        yield url


@pytest.fixture
def clock() -> ShopClock:
    return ShopClock()


@pytest.fixture
def now(clock) -> datetime:
    return clock.now


@pytest.fixture(scope="session")
def shared_app(tmp_path_factory) -> Flask:
    """Return the one app of all tests: making its addresses and templates anew for each would take half their time."""
    return new_app("sqlite://", tmp_path_factory.mktemp("nothing"))


def new_app(url: str, folder: Path, **settings: object) -> Flask:
    """Return an app for tests, with a client that behaves like a browser."""
    app = create_app(Config(database_url=url, data_folder=folder, secret_key="for tests", testing=True), **settings)
    app.test_client_class = SameSiteClient
    return app


STATEMENTS = 5000
"""How many compiled statements are kept: more than all tests make. With the usual 500 many were compiled again."""


class MovingEngine:
    """One engine that is led to the database of each test.

    Compiling each test's statements anew took a third of the tests' time, waiting for the disk another third: what a
    test wrote need not outlive a power cut. Engines that a test makes with ``make_engine`` are as they are in a shop.
    """

    def __init__(self) -> None:
        self._engine: sa.Engine | None = None

    def led_to(self, url: str) -> sa.Engine:
        """Return the engine, whose next connections go to ``url``."""
        if self._engine is None:
            self._engine = make_engine(url, query_cache_size=STATEMENTS)
            sa.event.listen(self._engine, "do_connect", self._connect_there)
            sa.event.listen(self._engine, "connect", _without_the_disk)
        there = sa.make_url(url)
        if self._engine.url != there:
            self._engine.dispose()
            self._engine.url = there
        return self._engine

    def leave(self) -> None:
        """Keep the connections only where the next test may have the same database, and none is in use."""
        if self._engine.url.get_backend_name() == "sqlite" or self._engine.pool.checkedout():
            self._engine.dispose()

    def _connect_there(self, dialect, _record, positional, named) -> None:
        positional[:], there = dialect.create_connect_args(self._engine.url)
        named |= there
        if dialect.name == "postgresql":
            named["application_name"] = "kept"


def _without_the_disk(connection, _record) -> None:
    if isinstance(connection, sqlite3.Connection):
        connection.execute("PRAGMA synchronous=OFF")


@pytest.fixture(scope="session")
def moving_engine() -> MovingEngine:
    return MovingEngine()


@pytest.fixture
def app(shared_app, moving_engine, database_url, tmp_path, clock) -> Iterator[Flask]:
    """Return the app on this test's own database; its settings are put back afterwards."""
    before = dict(shared_app.config)
    engine = moving_engine.led_to(database_url)
    shared_app.extensions["lotwright_engine"] = engine
    shared_app.config.update(CLOCK=clock, DATA_FOLDER=tmp_path)
    yield shared_app
    moving_engine.leave()
    shared_app.config.clear()
    shared_app.config.update(before)


@pytest.fixture
def engine(app) -> sa.Engine:
    return app.extensions["lotwright_engine"]


@pytest.fixture
def session(engine) -> Iterator[orm.Session]:
    """Return a session of the test's own on the same database; factories keep what they make in it and commit."""
    with orm.Session(engine) as session, factory_session(session):
        yield session


@pytest.fixture
def client(app) -> FlaskClient:
    """Return a browser nobody has signed in with."""
    return app.test_client()


@pytest.fixture
def as_owner(app, session) -> FlaskClient:
    """Return a browser signed in as an owner."""
    return signed_in(app, session, "owner")


@pytest.fixture
def as_setup_lead(app, session) -> FlaskClient:
    return signed_in(app, session, "setup lead")


@pytest.fixture
def as_operator(app, session) -> FlaskClient:
    return signed_in(app, session, "operator")


@pytest.fixture
def as_inspector(app, session) -> FlaskClient:
    return signed_in(app, session, "inspector")


def signed_in(app: Flask, session: orm.Session, role: str) -> FlaskClient:
    person = PersonFactory(roles=[Role(role)])
    client = app.test_client()
    with client.session_transaction() as cookie:
        cookie["person_id"] = person.id
        cookie["session_stamp"] = person.session_stamp
    client.person = person
    return client
