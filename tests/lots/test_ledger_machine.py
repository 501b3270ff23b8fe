"""The piece ledger under any order of moves: pieces are conserved, refusals keep nothing, verify finds nothing."""

import itertools
from contextlib import ExitStack
from dataclasses import replace
from datetime import timedelta

import sqlalchemy as sa
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import orm

from app.lots import services
from app.lots.errors import LedgerError, OperationNotFoundError
from app.lots.models import Entry, Lot, LotDelivery, LotOperation, Place, Posting, Verb
from app.lots.queries import taken_back
from app.lots.queries.verify import differences
from app.lots.services import ComeBack, Count, Inspection, NewOperation, PaperRow, Rework, Scrap, Share, SignOff
from app.parts.models import Taking
from app.shared.database import make_engine
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


class LedgerMachine(RuleBasedStateMachine):
    """Two lots of three operations, one for stock and one ordered; every rule may be refused.

    A refusal must leave everything as it was.
    """

    new_database = None

    def __init__(self):
        super().__init__()
        self.stack = ExitStack()
        engine = make_engine(self.stack.enter_context(type(self).new_database()))
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

    @rule(nth=NTH, setup=st.booleans())
    def begin(self, nth, setup):
        operation = self.operation(nth)
        self.attempt(services.begin, self.there(operation), [operation.id], setup=setup)

    @rule(nth=NTH, other=NTH, pieces=st.one_of(st.just(()), st.tuples(PIECES, PIECES)), setup=st.booleans())
    def begin_together(self, nth, other, pieces, setup):
        ids = [self.operation(nth).id, self.operation(other).id]
        self.attempt(services.begin, self.there(self.operation(nth)), ids, pieces=pieces, setup=setup)

    @rule(nth=NTH, verb=st.sampled_from([services.run, services.pause, services.hand_over, services.first_piece_good]))
    def mark(self, nth, verb):
        operation = self.operation(nth)
        self.attempt(verb, self.there(operation), operation.id)

    @rule(nth=NTH, good=PIECES, scrap=st.integers(0, 3), rework=st.integers(0, 3), back=NTH, here=st.booleans())
    def sign_off(self, nth, good, scrap, rework, back, here):
        operation = self.operation(nth)
        earlier = operation.lot.operations[back % len(operation.lot.operations)]
        result = SignOff(
            operation.id,
            good,
            (Scrap(scrap, "tool broke", earlier.id),) if scrap else (),
            (Rework(rework, earlier.id, "burr"),) if rework else (),
        )
        self.attempt(services.sign_off, self.there(operation) if here else self.act(), [result])

    @rule(nth=NTH, pieces=PIECES)
    def count(self, nth, pieces):
        operation = self.operation(nth)
        self.attempt(services.count_so_far, self.there(operation), operation.id, pieces)

    @rule(nth=NTH, pieces=PIECES)
    def send_ahead(self, nth, pieces):
        operation = self.operation(nth)
        self.attempt(services.send_ahead, self.there(operation), operation.id, pieces)

    @rule(nth=NTH, pieces=PIECES)
    def record_earlier(self, nth, pieces):
        self.attempt(services.record_earlier, self.act(), self.operation(nth).id, pieces)

    @rule(nth=NTH, pieces=PIECES)
    def hold_pieces(self, nth, pieces):
        self.attempt(services.hold_pieces, self.act(), self.operation(nth).id, pieces, "crack?")

    @rule(nth=NTH, pieces=PIECES)
    def release_pieces(self, nth, pieces):
        self.attempt(services.release_pieces, self.act(), self.operation(nth).id, pieces)

    @rule(nth=NTH, pieces=PIECES)
    def scrap_pieces(self, nth, pieces):
        self.attempt(services.scrap_pieces, self.act(), self.operation(nth).id, pieces, "crack")

    @rule(nth=NTH, pieces=PIECES, back=NTH)
    def rework_pieces(self, nth, pieces, back):
        self.attempt(
            services.rework_pieces, self.act(), self.operation(nth).id, pieces, self.operation(back).id, "too thick"
        )

    @rule(nth=NTH, pieces=PIECES)
    def start_fewer(self, nth, pieces):
        self.attempt(services.start_fewer, self.act(), self.operation(nth).lot_id, pieces)

    @rule(nth=NTH)
    def hold_lot(self, nth):
        self.attempt(services.hold_lot, self.act(), self.operation(nth).lot_id, "customer asked")

    @rule(nth=NTH)
    def release_lot_hold(self, nth):
        self.attempt(services.release_lot_hold, self.act(), self.operation(nth).lot_id)

    @precondition(lambda self: len(self.lots) < 4)
    @rule(nth=NTH, pieces=PIECES)
    def split(self, nth, pieces):
        child = self.attempt(services.split_lot, self.act(), self.operation(nth).id, pieces)
        if child is not None:
            self.lots.append(child.id)

    @rule(nth=NTH, pieces=PIECES, stock=st.booleans(), late=st.booleans())
    def recount(self, nth, pieces, stock, late):
        operation = self.operation(nth)
        books = operation.lot.in_stock if stock else operation.present
        count = Count(None if stock else operation.id, pieces, books + late, "two under the bench")
        self.attempt(services.recount, self.act(), operation.lot_id, count)

    def paper_row(self, now, written):
        nth, done, took, good, scrap = written
        operation = self.operation(nth)
        done_at = now - timedelta(minutes=done)
        begun_at = None if took is None else done_at - timedelta(minutes=took)
        station_id = None if took is None and good % 2 else station_of(operation).id
        facts = {"station_id": station_id, "first_piece": good % 3 == 0, "reason": "tool broke"}
        return PaperRow(f"rows-{nth}", operation.id, None, begun_at, done_at, good, scrap, **facts)

    @rule(rows=st.lists(st.tuples(NTH, WHEN, st.none() | WHEN, PIECES, st.integers(0, 2)), min_size=1, max_size=4))
    def enter_from_paper(self, rows):
        """Enter rows in the order in which they were done, and now and then in the order of the operations too."""
        now = self.act()
        times = sorted((row[1] for row in rows), reverse=True)
        rows = [(row[0], done, *row[2:]) for row, done in zip(sorted(rows), times, strict=True)]
        self.attempt(services.enter_rows, now, [self.paper_row(now.recorded_at, row) for row in rows])

    @rule(nth=NTH, done=st.none() | st.integers(0, 3), took=st.integers(0, 3), all_of_it=st.booleans())
    def begin_and_end_from_paper(self, nth, done, took, all_of_it):
        """Enter that what waits was begun a moment ago, and all or half of it done, while nobody could scan."""
        now = self.act()
        operation = self.with_pieces(nth)
        if operation is not None:
            pieces = operation.present if all_of_it else operation.present // 2
            row = self.paper_row(now.recorded_at, (0, done or 0, took, pieces, 0))
            facts = {"operation_id": operation.id, "station_id": station_of(operation).id}
            begun_only = {} if done is not None else {"done_at": None, "good": 0}
            self.attempt(services.enter_rows, now, [replace(row, **facts, **begun_only)])

    @rule(nth=NTH, ago=st.integers(0, 4), pieces=PIECES)
    def mend_by_an_estimate(self, nth, ago, pieces):
        now, operation = self.act(), self.with_pieces(nth)
        if operation is not None:
            done_at = now.recorded_at - timedelta(minutes=ago)
            good = min(pieces, operation.present) or 1
            row = PaperRow("", operation.id, None, done_at=done_at, good=good, station_id=station_of(operation).id)
            self.attempt(services.enter_rows, replace(now, is_estimate=True), [row])

    @rule(nth=NTH, pieces=PIECES)
    def mean_for(self, nth, pieces):
        self.attempt(services.mean_for, self.act(), self.operation(nth).lot_id, self.delivery, pieces)

    @rule(nth=NTH, pieces=st.none() | PIECES)
    def free_again(self, nth, pieces):
        self.attempt(services.free_again, self.act(), self.operation(nth).lot_id, self.delivery, pieces)

    @rule(nth=NTH, pieces=PIECES, given_up=st.booleans())
    def scrap_left(self, nth, pieces, given_up):
        more = {"given_up": self.delivery} if given_up else {}
        self.attempt(services.scrap_left, self.act(), self.operation(nth).lot_id, pieces, "no demand", **more)

    @rule(nth=NTH, after=st.one_of(st.none(), NTH))
    def add_operation(self, nth, after):
        operation = self.operation(nth)
        new = NewOperation(
            after_id=None if after is None else self.operation(after).id,
            title="Polish",
            kind_id=operation.kind_id,
            work_center_id=operation.work_center_id,
            cycle_ms=30_000,
        )
        self.attempt(services.add_operation, self.because("scratches"), operation.lot_id, new)

    @rule(nth=NTH, change=st.sampled_from([services.skip_operation, services.want_operation]))
    def skip_or_want(self, nth, change):
        operation = self.operation(nth)
        self.attempt(change, self.because("as agreed"), operation.lot_id, operation.id)

    @rule(nth=NTH, after=st.one_of(st.none(), NTH))
    def move_operation(self, nth, after):
        operation = self.operation(nth)
        after_id = None if after is None else self.operation(after).id
        self.attempt(services.move_operation, self.because("press is down"), operation.lot_id, operation.id, after_id)

    @rule(nth=NTH, revision=st.integers(0, 1))
    def move_to_revision(self, nth, revision):
        operation = self.operation(nth)
        self.attempt(
            services.move_to_revision,
            self.because("drawing changed"),
            operation.lot_id,
            self.revisions[revision],
            operation.id,
        )

    @rule(nth=NTH, other=NTH)
    def join(self, nth, other):
        lot, joined = self.operation(nth).lot_id, self.operation(other).lot_id
        self.attempt(services.join_lots, self.because("one cart"), lot, joined)

    @rule(nth=NTH, pieces=PIECES)
    def ship(self, nth, pieces):
        self.attempt(services.ship_pieces, self.act(), self.operation(nth).lot_id, pieces)

    @precondition(lambda self: len(self.lots) < 5)
    @rule(nth=NTH, pieces=st.integers(1, 6), again=st.lists(NTH, max_size=2), inspected=st.booleans())
    def take_back(self, nth, pieces, again, inspected):
        origin = self.operation(nth).lot
        first = origin.operations[0]
        inspection = Inspection(first.kind_id, first.work_center_id, 60) if inspected else None
        chosen = tuple(origin.operations[each % len(origin.operations)].id for each in again)
        before = taken_back(self.session, origin.id)
        back = ComeBack(origin.id, pieces, "burr in the bore", inspection, chosen)
        lot = self.attempt(services.take_back, self.act(), back)
        if lot is not None:
            self.lots.append(lot.id)
            self.returned.append(lot.id)
            assert before + pieces == taken_back(self.session, origin.id) <= origin.shipped

    @rule(nth=NTH)
    def undo_shipped(self, nth):
        shipped = self.session.scalars(sa.select(Posting.id).where(Posting.verb == Verb.SHIP)).all()
        if shipped:
            self.attempt(services.undo_shipped, self.act(), shipped[nth % len(shipped)])

    @rule(back=st.integers(0, 8))
    def undo(self, back):
        postings = self.session.scalars(sa.select(Posting.id).order_by(Posting.id.desc()).limit(9)).all()
        self.attempt(services.undo, self.act(), postings[back % len(postings)])

    @precondition(lambda self: self.last is not None)
    @rule()
    def send_the_last_one_again(self):
        service, circumstances, content, more, first = self.last
        before = self.state()
        assert ids(service(self.session, circumstances, *content, **more)) == first
        assert self.state() == before

    @invariant()
    def pieces_are_conserved(self):
        self.session.expire_all()
        lots = [self.session.get_one(Lot, key) for key in self.lots]
        for lot in lots:
            assert sum(whereabouts(lot).values()) == lot.started + self.recounted(lot)
            assert 0 <= taken_back(self.session, lot.id) <= lot.shipped
        back = sum(self.session.get_one(Lot, key).started for key in self.returned)
        assert 0 <= sum(lot.started - lot.in_other_lots for lot in lots) - back <= 24

    @invariant()
    def verify_finds_nothing(self):
        assert list(differences(self.session)) == []


def test_any_order_of_moves_keeps_the_ledger_true(new_database):
    machine = type("Machine", (LedgerMachine,), {"new_database": staticmethod(new_database)})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=30,
            stateful_step_count=30,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
