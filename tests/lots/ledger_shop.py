"""The shop in which the ledger's moves are tried in any order: its lots, and one try that keeps all or nothing."""

import itertools
from contextlib import ExitStack
from dataclasses import replace
from datetime import timedelta

import sqlalchemy as sa
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine
from sqlalchemy import orm

from app.lots.errors import LedgerError, OperationNotFoundError
from app.lots.models import Entry, Lot, LotDelivery, LotOperation, Place
from app.lots.services import Share
from app.parts.models import Taking
from app.shared.errors import RefusedError
from tests.factories.base import factory_session
from tests.factories.lots import MORNING, act, make_lot, make_routing, station_of, whereabouts
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.parts import RevisionFactory

PIECES = st.integers(min_value=0, max_value=14)
NTH = st.integers(min_value=0, max_value=50)


WHEN = st.integers(min_value=0, max_value=30)
"""Minutes before now, or that something took."""


def ids(result):
    """Return the key of what a service made, or the keys of several."""
    return [each.id for each in result] if isinstance(result, list) else result.id


class LedgerShop(RuleBasedStateMachine):
    """Two lots of three operations, one for stock and one ordered; every move may be refused.

    A refusal must leave everything as it was.
    """

    new_database = None
    moving_engine = None

    def __init__(self):
        super().__init__()
        self.stack = ExitStack()
        engine = type(self).moving_engine.led_to(self.stack.enter_context(type(self).new_database()))
        self.stack.callback(engine.dispose)
        self.session = self.stack.enter_context(orm.Session(engine))
        self.stack.enter_context(factory_session(self.session))
        routing = make_routing(taking=Taking.LOAD, load_pieces=8)
        line = OrderLineFactory(revision=routing.revision)
        self.delivery = DeliveryFactory(line=line, quantity=9).id
        ordered = make_lot(self.session, pieces=12, routing=routing, shares=(Share(self.delivery, 9),))
        self.lots = [make_lot(self.session, pieces=12, routing=routing).id, ordered.id]
        newer = RevisionFactory(part=routing.revision.part, label="Z")
        make_routing(operations=4, revision=newer, taking=Taking.LOAD, load_pieces=8)
        self.revisions = [routing.revision_id, newer.id]
        self.session.commit()
        self.returned = []
        self.minutes = itertools.count(90)  # paper speaks of what was before
        self.last = None

    def teardown(self):
        self.stack.close()

    def act(self, station_id=None):
        then = MORNING + timedelta(minutes=next(self.minutes))
        return act(station_id=station_id, happened_at=then, recorded_at=then)

    def because(self, why):
        return replace(self.act(), note=why)

    def operation(self, nth) -> LotOperation:
        operations = [each for key in self.lots for each in self.session.get_one(Lot, key).operations]
        return operations[nth % len(operations)]

    def with_pieces(self, nth) -> LotOperation | None:
        """Return an operation at which pieces are."""
        operations = [each for key in self.lots for each in self.session.get_one(Lot, key).operations]
        found = [each for each in operations if each.present]
        return found[nth % len(found)] if found else None

    def there(self, operation):
        return self.act(station_of(operation).id)

    def attempt(self, service, circumstances, *content, **more):
        before = self.state()
        try:
            result = service(self.session, circumstances, *content, **more)
        except (LedgerError, OperationNotFoundError, RefusedError):
            self.session.rollback()
            assert self.state() == before
            return None
        self.last = (service, circumstances, content, more, ids(result))
        return result

    def state(self):
        self.session.expire_all()
        lots = self.session.scalars(sa.select(Lot).order_by(Lot.id)).all()
        entries = self.session.scalars(sa.select(sa.func.count(Entry.id))).one()
        meant = self.session.execute(sa.select(LotDelivery.lot_id, LotDelivery.quantity).order_by(LotDelivery.id)).all()
        return [whereabouts(lot) for lot in lots], entries, meant

    def recounted(self, lot):
        """Return how many pieces of a lot were found, less those that were missing."""
        total = sa.func.coalesce(sa.func.sum(Entry.quantity), 0)
        found, missing = (
            self.session.scalars(sa.select(total).where(Entry.lot_id == lot.id, place == Place.RECOUNTED)).one()
            for place in (Entry.from_place, Entry.to_place)
        )
        return found - missing
