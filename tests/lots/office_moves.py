"""What is done to lots away from the machines: meant for, changed, joined, shipped and taken back, in any order."""

import sqlalchemy as sa
from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from app.lots import services
from app.lots.models import Posting, Verb
from app.lots.queries import taken_back
from app.lots.services import ComeBack, Inspection, NewOperation
from tests.lots.ledger_shop import NTH, PIECES, LedgerShop


class OfficeMoves(LedgerShop):
    """The moves of the office."""

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
