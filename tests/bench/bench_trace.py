"""Ten years of a shop in one database, and how long the trace takes from each thing that it can begin from.

10,000 lots of four operations with 16 postings and 30 readings each: every fifth is split, the others are shipped, a
heat goes into eight lots, a delivery is made up by ten. Run as ``python -m tests.bench.bench_trace``; each line printed
is one JSON object.
"""

import itertools
import json
import statistics
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from flask import Flask
from sqlalchemy import orm

from app import create_app
from app.config import Config, sqlite_url
from app.core.quality.tolerances import Standing
from app.lots.models import Entry, Lot, LotCharacteristic, LotDelivery, LotOperation, Place, Posting, Verb
from app.material.models import Issue, Receipt
from app.orders.models import Delivery
from app.quality.models import Reading
from app.shared.database import make_engine
from app.shared.schema import upgrade
from app.shipping.models import Shipment, ShipmentLine
from app.trace.queries import Kind, days_between, get_subject, trace
from tests.factories.base import factory_session
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.material import ReceiptFactory
from tests.factories.people import PersonFactory
from tests.factories.quality import CharacteristicFactory, GaugeFactory
from tests.factories.shipping import make_delivery
from tests.factories.stations import ShopFactory

LOTS = 10_000
OPERATIONS, POSTINGS, READINGS = 4, 16, 30
LOTS_OF_A_HEAT, LOTS_OF_A_SHIPMENT, LOTS_OF_A_DELIVERY = 8, 3, 10
FIRST = datetime(2016, 1, 4, 14, tzinfo=UTC)
DAYS = 3_650
ROUNDS = 5
HOLDS = (
    Receipt,
    Shipment,
    Delivery,
    Lot,
    LotDelivery,
    LotOperation,
    LotCharacteristic,
    Posting,
    Entry,
    Issue,
    Reading,
    ShipmentLine,
)


class Past:
    """Rows of ten years, made from the rows of one real lot."""

    def __init__(self, session: orm.Session) -> None:
        self.session = session
        ShopFactory()
        routing = make_routing(operations=OPERATIONS)
        for number in (1, 2):
            CharacteristicFactory(revision=routing.revision, number=number)
        self.gauges = [GaugeFactory().id for _ in range(12)]
        self.people = [PersonFactory().id for _ in range(12)]
        self.receipt = self.row(Receipt, ReceiptFactory(revision=routing.revision, pieces=0).id)
        lot = make_lot(session, routing=routing)
        self.lot = self.row(Lot, lot.id)
        self.operations = [self.row(LotOperation, each.id) for each in lot.operations]
        self.stations = [station_of(each).id for each in lot.operations]
        self.characteristics = [self.row(LotCharacteristic, each.id) for each in lot.operations[0].characteristics]
        delivery = make_delivery(routing.revision, quantity=400)
        self.customer_id = delivery.line.order.customer_id
        self.delivery = self.row(Delivery, delivery.id)
        self.ids = itertools.count(1_000_000)
        self.last_shipment = self.last_delivery = 0
        self.rows: dict[Any, list[dict[str, Any]]] = defaultdict(list)

    def row(self, model: Any, key: int) -> dict[str, Any]:
        return dict(self.session.execute(sa.select(model.__table__).where(model.id == key)).mappings().one())

    def fill(self) -> None:
        """Make and store everything, a thousand lots at a time."""
        for number in range(LOTS):
            self._lot(number)
            if number % 1_000 == 999:
                for model in HOLDS:
                    if self.rows[model]:
                        self.session.execute(sa.insert(model.__table__), self.rows[model])
                self.session.commit()
                self.rows.clear()

    def _lot(self, number: int) -> None:
        key, when = 100_000 + number, FIRST + timedelta(days=number * DAYS / LOTS)
        own = [next(self.ids) for _ in self.operations]
        times = {"released_at": when, "closed_at": when + timedelta(days=5)}
        self.rows[Lot].append({**self.lot, **times, "id": key, "number": 1_000 + number, "started": 40})
        for operation, own_id in zip(self.operations, own, strict=True):
            self.rows[LotOperation].append(
                {**operation, "id": own_id, "lot_id": key, "code_number": own_id, "waiting": 0}
            )
        self._material(number, key, when)
        self._work(number, key, own, when)
        self._measured(number, own[0], when)
        if number % 5:
            self._shipped(number, key, when)

    def _material(self, number: int, key: int, when: datetime) -> None:
        receipt = 100_000 + number // LOTS_OF_A_HEAT
        if number % LOTS_OF_A_HEAT == 0:
            fresh = {"id": receipt, "number": 1_000 + number, "heat": f"H{receipt}", "pieces": 320, "issued": 320}
            self.rows[Receipt].append({**self.receipt, **fresh})
        self.rows[Issue].append({"receipt_id": receipt, "lot_id": key, "pieces": 40, "issued_at": when})

    def _work(self, number: int, key: int, own: list[int], when: datetime) -> None:
        for step in range(POSTINGS):
            at = step % OPERATIONS
            move = {"lot_id": key, "from_place": Place.IN_WORK, "from_operation_id": own[at], "quantity": 10}
            move |= {
                "to_place": Place.WAITING,
                "to_operation_id": own[min(at + 1, OPERATIONS - 1)],
                "other_lot_id": None,
            }
            split = number % 5 == 0 and step == POSTINGS - 1
            if split:
                move |= {"to_place": Place.OTHER_LOT, "to_operation_id": None, "other_lot_id": key + 1}
            self._posting(number + step, self.stations[at], when + timedelta(hours=step), move, split=split)

    def _posting(self, by: int, station_id: int, when: datetime, move: dict[str, Any], *, split: bool) -> None:
        posting = next(self.ids)
        made = {"verb": Verb.SPLIT if split else Verb.SIGN_OFF, "happened_at": when, "recorded_at": when, "reason": ""}
        who = {"person_id": self.people[by % len(self.people)], "station_id": station_id, "is_estimate": False}
        self.rows[Posting].append({"id": posting, "client_key": f"past-{posting}", "content_hash": "", **made, **who})
        self.rows[Entry].append({**move, "posting_id": posting, "station_id": station_id, "reason": ""})

    def _measured(self, number: int, operation_id: int, when: datetime) -> None:
        own = [next(self.ids) for _ in self.characteristics]
        for row, key in zip(self.characteristics, own, strict=True):
            self.rows[LotCharacteristic].append({**row, "id": key, "operation_id": operation_id})
        for nth in range(READINGS):
            taken, fresh = when + timedelta(minutes=5 * nth), next(self.ids)
            who = {
                "gauge_id": self.gauges[number % 12],
                "station_id": self.stations[0],
                "person_id": self.people[nth % 12],
            }
            self.rows[Reading].append(
                {
                    "id": fresh,
                    "characteristic_id": own[nth % 2],
                    "piece": 1 + nth,
                    "serial": "",
                    **who,
                    "value": Decimal("0.5"),
                    "typed": "0.5000",
                    "standing": Standing.GOOD,
                    "questioned": False,
                    "happened_at": taken,
                    "recorded_at": taken,
                    "client_key": f"past-{fresh}",
                    "content_hash": "",
                    "struck_reason": "",
                }
            )

    def _shipped(self, number: int, key: int, when: datetime) -> None:
        shipment = 100_000 + number // LOTS_OF_A_SHIPMENT
        if shipment != self.last_shipment:
            self.last_shipment = shipment
            made = {
                "customer_id": self.customer_id,
                "shipped_on": (when + timedelta(days=6)).date(),
            }
            kept = {"client_key": f"past-{shipment}", "content_hash": "", "recorded_at": when, "taken_back_reason": ""}
            self.rows[Shipment].append({"id": shipment, "number": shipment, "carrier": "", "note": "", **made, **kept})
        delivery = 100_000 + number // LOTS_OF_A_DELIVERY
        if delivery != self.last_delivery:
            self.last_delivery = delivery
            self.rows[Delivery].append({**self.delivery, "id": delivery, "due": (when + timedelta(days=20)).date()})
        self.rows[LotDelivery].append({"lot_id": key, "delivery_id": delivery, "quantity": 40, "shipped": 40})
        line = {"shipment_id": shipment, "delivery_id": delivery, "lot_id": key, "pieces": 40, "raised": 0}
        self.rows[ShipmentLine].append({**line, "posting_id": self.rows[Posting][-1]["id"]})


def timed(work: Callable[[], Any]) -> float:
    """Return the median of some runs in milliseconds."""
    taken = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - begun))
    return round(statistics.median(taken), 1)


def measure(app: Flask, session: orm.Session, past: Past) -> None:
    """Print how long each way in takes in the middle of the ten years."""
    middle = 100_000 + LOTS // 2 + 1
    week = days_between(session, date(2021, 1, 4), date(2021, 1, 10))
    shipment = session.scalars(sa.select(ShipmentLine.shipment_id).where(ShipmentLine.lot_id == middle)).one()
    shipped_on = session.scalars(sa.select(Shipment.shipped_on).where(Shipment.id == shipment)).one()
    ways = {
        Kind.LOT: middle,
        Kind.HEAT: 100_000 + LOTS // 2 // LOTS_OF_A_HEAT,
        Kind.SHIPMENT: shipment,
        Kind.RECEIPT: 100_000 + LOTS // 2 // LOTS_OF_A_HEAT,
        Kind.DAY: int(f"{shipped_on:%Y%m%d}"),
        Kind.DELIVERY: 100_000 + LOTS // 2 // LOTS_OF_A_DELIVERY,
        Kind.GAUGE: past.gauges[0],
        Kind.PERSON: past.people[0],
        Kind.STATION: past.stations[0],
    }
    with app.test_request_context():
        for kind, key in ways.items():
            subject = get_subject(session, kind, key)
            found = trace(session, subject, week)
            print(
                json.dumps(
                    {
                        "from": kind.value,
                        "ms": timed(lambda subject=subject: trace(session, subject, week)),
                        "lots": len(found.traced.all),
                        "rows": {each.name: len(each.lines) for each in found.sections},
                    }
                ),
                flush=True,
            )


def main() -> None:
    """Make the ten years and measure."""
    with tempfile.TemporaryDirectory() as folder:
        url = sqlite_url(Path(folder) / "bench.sqlite3")
        engine = make_engine(url)
        upgrade(engine)
        with orm.Session(engine) as session, factory_session(session):
            begun = time.perf_counter()
            past = Past(session)
            past.fill()
            sizes = {each.__tablename__: session.scalar(sa.select(sa.func.count()).select_from(each)) for each in HOLDS}
            print(json.dumps({"made in s": round(time.perf_counter() - begun), **sizes}), flush=True)
            app = create_app(Config(url, Path(folder), "for the bench"))
            measure(app, session, past)
        engine.dispose()


if __name__ == "__main__":
    main()
