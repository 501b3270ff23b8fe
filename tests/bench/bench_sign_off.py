"""A sign-off at a station with 200,000 entries in the ledger, beside a served request that inserts one row.

The request that inserts one row is one of this program's own kind: the same Flask app with its guards, a signed-in
person, one field checked by a form, and ``transaction()``. An app as a textbook of Flask and SQLAlchemy has it, with
nothing around it, is printed beside it, as is the cost of a bare commit. All are served by waitress on
loopback and sent in turn, so that a busy moment of the machine falls on all of them. The clock on the wall is told and
the processor time of server and client together: where other work takes the processor away, what runs longer
suffers more. Run as ``python -m tests.bench.bench_sign_off``; each line printed is one JSON object.
"""

import http.client
import itertools
import json
import sqlite3
import statistics
import tempfile
import threading
import time
import urllib.parse
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import sqlalchemy as sa
from flask import Flask, request
from sqlalchemy import orm
from waitress.server import create_server
from werkzeug.wrappers import Response
from wtforms.validators import InputRequired

from app import create_app
from app.cli.serve import leave_to_stay
from app.config import Config, sqlite_url
from app.extensions import allowed, db
from app.floor.models import SignOn
from app.lots.models import Entry, Lot, LotOperation, Place, Posting, Verb
from app.lots.services import begin
from app.people.models import EVERYONE, Person
from app.shared.database import Model, PrimaryKey, make_engine, transaction
from app.shared.fields import LineField
from app.shared.schema import upgrade
from app.shared.web import Form, see_other
from tests.factories.base import factory_session
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

ENTRIES = 200_000
ROUNDS = 24
LONG_AGO = datetime(2025, 3, 3, 15, tzinfo=UTC)


def fill(engine: sa.Engine, lot: Lot) -> None:
    """Give the ledger a past: finished lots with the same routing, each with 28 entries."""
    per_lot = 28
    lots = ENTRIES // per_lot
    with engine.begin() as connection:
        lot_row = dict(connection.execute(sa.select(Lot.__table__).where(Lot.id == lot.id)).mappings().one())
        steps = connection.execute(sa.select(LotOperation.__table__).where(LotOperation.lot_id == lot.id)).mappings()
        operations = [dict(row) for row in steps]
        ids = itertools.count(1_000_000)
        made_lots, made_operations, postings, entries = [], [], [], []
        for number in range(lots):
            key = 10_000 + number
            made_lots.append(
                {**lot_row, "id": key, "number": key, "closed_at": LONG_AGO, "started": 10, "in_stock": 10}
            )
            own = [next(ids) for _ in operations]
            for operation, own_id in zip(operations, own, strict=True):
                fresh = {"id": own_id, "lot_id": key, "code_number": own_id, "waiting": 0, "in_work": 0, "passed": 10}
                made_operations.append({**operation, **fresh})
            for step in range(per_lot):
                posting_id = next(ids)
                postings.append(_posting(posting_id))
                entries.append(_entry(posting_id, key, own[step % len(own)]))
        for table, rows in ((Lot, made_lots), (LotOperation, made_operations), (Posting, postings), (Entry, entries)):
            connection.execute(sa.insert(table.__table__), rows)  # type: ignore[arg-type]  # a Table


def _posting(posting_id: int) -> dict[str, object]:
    return {
        "id": posting_id,
        "verb": Verb.BEGIN_RUN,
        "client_key": f"past-{posting_id}",
        "content_hash": "",
        "happened_at": LONG_AGO,
        "recorded_at": LONG_AGO,
        "reason": "",
        "station_id": 1,
    }


def _entry(posting_id: int, lot_id: int, operation_id: int) -> dict[str, object]:
    return {
        "posting_id": posting_id,
        "lot_id": lot_id,
        "quantity": 0,
        "reason": "",
        "station_id": 1,
        "from_place": Place.IN_WORK,
        "from_operation_id": operation_id,
        "to_place": Place.IN_WORK,
        "to_operation_id": operation_id,
    }


def serve(app: Flask) -> int:
    """Serve an app on a free port of loopback and return the port."""
    server = create_server(app, host="127.0.0.1", port=0, threads=4)
    threading.Thread(target=server.run, daemon=True).start()
    return int(server.effective_port)


class Note(Model):
    """The one row."""

    __tablename__ = "bench_note"

    id: orm.Mapped[PrimaryKey]
    words: orm.Mapped[str]


class NoteForm(Form):
    """What is typed into it."""

    words = LineField("Words", [InputRequired()])


def add_notes(app: Flask) -> None:
    """Give the program one more page, the least that it could have: it inserts one row."""
    Note.metadata.tables[Note.__tablename__].create(app.extensions["lotwright_engine"])

    @app.post("/notes")
    @allowed(*EVERYONE)
    def add_note() -> Response:
        form = NoteForm()
        if not form.validate():
            return Response(status=422)
        with transaction(db.session):
            db.session.add(Note(words=form.words.data))
        return see_other("/")


def signed_in_cookie(app: Flask, person: Person) -> str:
    """Return the cookie of somebody who is signed in to the office."""
    client = app.test_client()
    with client.session_transaction() as kept:
        kept["person_id"], kept["session_stamp"] = person.id, person.session_stamp
    cookie = client.get_cookie(app.config["SESSION_COOKIE_NAME"])
    assert cookie is not None
    return f"{cookie.key}={cookie.value}"


class TextbookModel(orm.DeclarativeBase):
    """The base of the table of the textbook's app."""


class TextbookNote(TextbookModel):
    """Its one table."""

    __tablename__ = "note"

    id: orm.Mapped[int] = orm.mapped_column(primary_key=True)
    words: orm.Mapped[str]


def textbook_app(file: Path) -> Flask:
    """Return the app of a textbook: a form's field becomes a mapped row; the same engine settings, nothing else."""
    engine = make_engine(sqlite_url(file))
    TextbookModel.metadata.create_all(engine)
    app = Flask("one_row")

    @app.post("/notes")
    def add_note() -> Response:
        with orm.Session(engine) as session:
            session.add(TextbookNote(words=request.form["words"]))
            session.commit()
        return see_other("/")

    return app


def post(connection: http.client.HTTPConnection, path: str, cookie: str = "", **fields: object) -> None:
    """Send a form as a browser on the same address would."""
    origin = f"http://{connection.host}:{connection.port}"
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": origin, "Cookie": cookie}
    connection.request("POST", path, urllib.parse.urlencode(fields), headers)
    answer = connection.getresponse()
    body = answer.read()
    assert answer.status == 303, (answer.status, body[:2000])


class Cost(NamedTuple):
    """What one of a kind cost in milliseconds: on the clock, and of the processor."""

    clock: float
    processor: float


def median_ms(*kinds: Callable[[int], None]) -> list[Cost]:
    """Return the median cost of each ``kind(n)``, done in turn, after two that do not count."""
    costs: list[list[Cost]] = [[] for _ in kinds]
    for number in range(ROUNDS):
        for once, mine in zip(kinds, costs, strict=True):
            clock, processor = time.perf_counter(), time.process_time()
            once(number)
            mine.append(Cost((time.perf_counter() - clock) * 1000, (time.process_time() - processor) * 1000))
    return [Cost(*map(statistics.median, zip(*mine[2:], strict=True))) for mine in costs]


def bare_commits(file: Path) -> Callable[[int], None]:
    """Return one INSERT and COMMIT with sqlite3 alone, full synchronous, write-ahead log."""
    connection = sqlite3.connect(file, isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE note (id INTEGER PRIMARY KEY, words TEXT)")

    def commit(_number: int) -> None:
        connection.execute("INSERT INTO note (words) VALUES ('one row')")

    return commit


def main() -> None:
    """Build, measure, print."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        engine = make_engine(sqlite_url(folder / "shop.sqlite3"))
        upgrade(engine)
        with orm.Session(engine) as session, factory_session(session):
            ShopFactory(idle_minutes=1440)
            person = PersonFactory()
            routing = make_routing(operations=4)
            lots = [make_lot(session, routing=routing) for _ in range(ROUNDS)]
            station = station_of(lots[0].operations[0])
            station.pallets = 24
            now = datetime.now(UTC)
            session.add(SignOn(station_id=station.id, person_id=person.id, begun_at=now, seen_at=now))
            session.commit()
            fill(engine, lots[0])
            operations = [lot.operations[0].id for lot in lots]
            station_id = station.id
            for key in operations:
                begin(session, act(station_id=station_id, happened_at=now, recorded_at=now), [key])
            app = create_app(Config(sqlite_url(folder / "shop.sqlite3"), folder, "bench", testing=True))
            add_notes(app)
            own = http.client.HTTPConnection("127.0.0.1", serve(app))
            other = http.client.HTTPConnection("127.0.0.1", serve(textbook_app(folder / "textbook.sqlite3")))
            cookie = signed_in_cookie(app, person)
            leave_to_stay()

            def sign_off(number: int) -> None:
                key = operations[number]
                path = f"/floor/stations/{station_id}/operations/{key}/sign-offs"
                post(own, path, **{"key": f"bench-{key:08}", f"lot{key}-good": 50, f"lot{key}-offered": 50})

            signed, one_row, least, bare = median_ms(
                sign_off,
                lambda _: post(own, "/notes", cookie, words="one row"),
                lambda _: post(other, "/notes", words="one row"),
                bare_commits(folder / "bare.sqlite3"),
            )
    costs = {"sign_off_ms": signed, "one_row_ms": one_row, "textbook_one_row_ms": least, "bare_commit_ms": bare}
    for kind in Cost._fields:
        told = {name: round(getattr(each, kind), 3) for name, each in costs.items()}
        print(json.dumps({"entries": ENTRIES, "time": kind, **told}))
    for kind in Cost._fields:
        ours = getattr(signed, kind)
        ratios = {"ratio_to_one_row": ours / getattr(one_row, kind), "ratio_to_textbook": ours / getattr(least, kind)}
        print(json.dumps({"time": kind, **{name: round(each, 2) for name, each in ratios.items()}}))


if __name__ == "__main__":
    main()
