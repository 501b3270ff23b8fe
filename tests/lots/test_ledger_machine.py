"""The piece ledger under any order of moves: pieces are conserved, refusals keep nothing, verify finds nothing."""

from dataclasses import replace
from datetime import timedelta

import sqlalchemy as sa
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import invariant, precondition, rule, run_state_machine_as_test

from app.lots import services
from app.lots.models import Lot, Posting
from app.lots.queries import taken_back
from app.lots.queries.verify import differences
from app.lots.services import Count, PaperRow, Rework, Scrap, SignOff
from tests.factories.lots import station_of, whereabouts
from tests.lots.ledger_shop import NTH, PIECES, WHEN, ids
from tests.lots.office_moves import OfficeMoves


class LedgerMachine(OfficeMoves):
    """The moves of the floor and of the office together, and what must hold after each."""

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

    @rule(nth=NTH)
    def take_off(self, nth):
        operation = self.operation(nth)
        self.attempt(services.take_off, self.there(operation), operation.id)

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

    @rule(nth=NTH, pieces=PIECES, back=NTH, what=st.sampled_from(["scrap", "rework", "vendor", "vendor, from op"]))
    def dispose(self, nth, pieces, back, what):
        """Decide about bad pieces: finished ones in stock, or some that go back to a vendor from an operation."""
        operation, named = self.operation(nth), self.operation(back).id
        lot_id, now = operation.lot_id, self.act()
        if what == "scrap":
            self.attempt(services.scrap_finished, now, lot_id, pieces, "porous", named)
        elif what == "rework":
            self.attempt(services.rework_finished, now, lot_id, pieces, named, "porous")
        elif what == "vendor":
            self.attempt(services.send_finished_back_to_vendor, now, lot_id, pieces, "porous")
        else:
            self.attempt(services.send_back_to_vendor, now, operation.id, pieces, "porous")

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


def test_any_order_of_moves_keeps_the_ledger_true(new_database, moving_engine):
    databases = {"new_database": staticmethod(new_database), "moving_engine": moving_engine}
    machine = type("Machine", (LedgerMachine,), databases)
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=20,
            stateful_step_count=30,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
