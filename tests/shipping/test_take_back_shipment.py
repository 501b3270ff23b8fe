"""Taking a shipment back: everything it counted is counted back, on the same day only."""

from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa

from app.lots.errors import CannotUndoError
from app.lots.models import LotDelivery, Posting, Verb
from app.lots.services import undo
from app.shipping.errors import DayOverError, ShipmentNotFoundError, TakeBackReasonError
from app.shipping.services import take_back_shipment
from tests.factories.lots import act, whereabouts
from tests.factories.people import PersonFactory
from tests.factories.shipping import DUE, make_delivery, make_finished_lot, make_shipment


def shares(session, lot):
    rows = session.scalars(sa.select(LotDelivery).where(LotDelivery.lot_id == lot.id).order_by(LotDelivery.delivery_id))
    return [(row.delivery_id, row.quantity, row.shipped) for row in rows]


def test_everything_is_as_it_was_before(session, lot, delivery):
    person = PersonFactory()
    shipment = make_shipment(session, (lot, delivery, 50))
    take_back_shipment(session, act(person_id=person.id), shipment.id, "wrong box")
    assert whereabouts(lot) == {"in_stock": 50}
    assert (delivery.shipped, delivery.closed_at, lot.due_on) == (0, None, DUE)
    assert shares(session, lot) == [(delivery.id, 50, 0)]
    assert (shipment.taken_back_reason, shipment.taken_back_by, shipment.pieces) == ("wrong box", person, 50)


def test_a_share_that_the_shipment_made_or_raised_goes_with_it(session, revision, delivery):
    lot = make_finished_lot(session, revision, (delivery, 30))
    stock = make_finished_lot(session, revision)
    shipment = make_shipment(session, (lot, delivery, 35), (stock, delivery, 15))
    assert shares(session, lot) == [(delivery.id, 35, 35)]
    assert shares(session, stock) == [(delivery.id, 15, 15)]
    take_back_shipment(session, act(), shipment.id, "not packed yet")
    assert shares(session, lot) == [(delivery.id, 30, 0)]
    assert shares(session, stock) == []


def test_only_what_this_shipment_took_comes_back(session, revision):
    delivery = make_delivery(revision, quantity=80)
    lots = [make_finished_lot(session, revision, (delivery, 40)) for _ in range(2)]
    first = make_shipment(session, (lots[0], delivery, 40), (lots[1], delivery, 10))
    make_shipment(session, (lots[1], delivery, 30))
    take_back_shipment(session, act(), first.id, "came back")
    assert [whereabouts(lot) for lot in lots] == [{"in_stock": 50}, {"in_stock": 20, "shipped": 30}]
    assert delivery.shipped == 30
    assert shares(session, lots[1]) == [(delivery.id, 40, 30)]


def test_the_ledger_names_the_entry_it_reverses_with_the_reason(session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 20))
    take_back_shipment(session, act(), shipment.id, "wrong customer")
    undone = session.scalars(sa.select(Posting).where(Posting.verb == Verb.UNDO)).one()
    assert (undone.reverses_id, undone.reason) == (shipment.lines[0].posting_id, "wrong customer")


def test_taking_back_twice_changes_nothing(session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 20))
    take_back_shipment(session, act(), shipment.id, "first reason")
    take_back_shipment(session, act(), shipment.id, "second reason")
    assert (whereabouts(lot), delivery.shipped) == ({"in_stock": 50}, 0)
    assert shipment.taken_back_reason == "first reason"


def test_pieces_can_leave_again_afterwards(session, lot, delivery):
    take_back_shipment(session, act(), make_shipment(session, (lot, delivery, 20)).id, "wrong count")
    assert make_shipment(session, (lot, delivery, 25)).number == 2
    assert (whereabouts(lot), delivery.shipped) == ({"in_stock": 25, "shipped": 25}, 25)


def test_a_reason_is_needed(session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 20))
    with pytest.raises(TakeBackReasonError, match="Say why it is taken back"):
        take_back_shipment(session, act(), shipment.id, "")
    session.expire_all()
    assert (delivery.shipped, shipment.taken_back_at) == (20, None)


@pytest.mark.parametrize(
    ("when", "allowed"),
    [
        (datetime(2026, 1, 8, 5, 59, tzinfo=UTC), True),  # 23:59 in Chicago
        (datetime(2026, 1, 8, 6, 0, tzinfo=UTC), False),  # midnight in Chicago
    ],
)
def test_the_day_it_was_recorded_ends_at_midnight_in_the_shop(session, lot, delivery, when, allowed):
    shipment = make_shipment(session, (lot, delivery, 20), shipped_on=date(2026, 1, 6))
    later = act(happened_at=when, recorded_at=when)
    if allowed:
        take_back_shipment(session, later, shipment.id, "wrong box")
        assert delivery.shipped == 0
        return
    with pytest.raises(DayOverError, match="Shipment 1 was recorded on Wed 7 Jan 2026 and can be taken back on that"):
        take_back_shipment(session, later, shipment.id, "wrong box")
    session.expire_all()
    assert delivery.shipped == 20


def test_no_such_shipment(session):
    with pytest.raises(ShipmentNotFoundError):
        take_back_shipment(session, act(), 1, "why not")


def test_the_ledgers_own_undo_still_refuses_a_shipment(session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 20))
    with pytest.raises(CannotUndoError, match="is not undone here"):
        undo(session, act(), shipment.lines[0].posting_id)
