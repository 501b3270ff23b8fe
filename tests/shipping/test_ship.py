"""Recording a shipment: what leaves, what the deliveries count, and what is refused."""

from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa

from app.lots.errors import KeyReusedError
from app.lots.models import LotDelivery, Posting, Verb
from app.lots.services import hold_lot
from app.shared.errors import RefusedError
from app.shipping.errors import RowGoneError
from app.shipping.models import Shipment
from app.shipping.services import NewShipment, NewShipmentLine, ship
from tests.factories.lots import MORNING, act, whereabouts
from tests.factories.orders import CustomerFactory
from tests.factories.shipping import (
    TODAY,
    make_delivery,
    make_finished_lot,
    make_revision,
    make_shipment,
    new_shipment,
)


def refusals(session, new, **circumstances):
    with pytest.raises(RefusedError) as caught:
        ship(session, act(**circumstances), new)
    session.rollback()
    assert session.scalars(sa.select(Shipment)).all() == []
    assert session.scalars(sa.select(Posting).where(Posting.verb == Verb.SHIP)).all() == []
    return {problem.place: str(problem.error) for problem in caught.value.problems}


def shares(session, lot):
    rows = session.scalars(sa.select(LotDelivery).where(LotDelivery.lot_id == lot.id).order_by(LotDelivery.delivery_id))
    return [(row.delivery_id, row.quantity, row.shipped) for row in rows]


def test_a_full_shipment_takes_the_pieces_out_of_stock_and_closes_the_delivery(session, lot, delivery):
    shipment = make_shipment(session, (lot, delivery, 50), carrier="Our van", note="Two boxes")
    assert whereabouts(lot) == {"shipped": 50}
    assert (delivery.shipped, delivery.closed_at) == (50, MORNING)
    assert (shipment.number, shipment.carrier, shipment.note, shipment.pieces) == (1, "Our van", "Two boxes", 50)
    assert shares(session, lot) == [(delivery.id, 50, 50)]
    assert lot.due_on is None


def test_a_short_shipment_leaves_the_delivery_open_and_the_lot_due(session, lot, delivery):
    make_shipment(session, (lot, delivery, 38))
    assert (delivery.shipped, delivery.closed_at) == (38, None)
    assert shares(session, lot) == [(delivery.id, 50, 38)]
    assert lot.due_on == delivery.leave_day
    assert whereabouts(lot) == {"in_stock": 12, "shipped": 38}


def test_slips_are_numbered_one_after_the_other(session, lot, delivery):
    numbers = [make_shipment(session, (lot, delivery, 10)).number for _ in range(3)]
    assert numbers == [1, 2, 3]


def test_one_slip_carries_several_lots_and_deliveries_of_a_customer(session, revision):
    first = make_delivery(revision, quantity=30)
    customer = first.line.order.customer
    second = make_delivery(revision, quantity=20, due=date(2026, 3, 6), customer=customer)
    lots = [make_finished_lot(session, revision, (first, 30), (second, 10), pieces=40)]
    lots.append(make_finished_lot(session, revision, (second, 10), pieces=10))
    shipment = make_shipment(session, (lots[0], first, 30), (lots[0], second, 10), (lots[1], second, 10))
    assert [whereabouts(lot) for lot in lots] == [{"shipped": 40}, {"shipped": 10}]
    assert first.closed_at is not None
    assert second.closed_at is not None
    assert len(shipment.lines) == 3


def test_the_due_date_of_the_lot_moves_to_its_next_delivery(session, revision):
    first = make_delivery(revision, quantity=30)
    second = make_delivery(revision, quantity=20, due=date(2026, 3, 6), customer=first.line.order.customer)
    lot = make_finished_lot(session, revision, (first, 30), (second, 20))
    make_shipment(session, (lot, first, 30))
    assert lot.due_on == date(2026, 3, 6)


def test_a_stock_lot_serves_a_delivery_of_its_revision_and_keeps_its_wished_date(session, revision, delivery):
    lot = make_finished_lot(session, revision)
    lot.due_on = date(2026, 5, 1)
    session.commit()
    make_shipment(session, (lot, delivery, 20))
    assert shares(session, lot) == [(delivery.id, 20, 20)]
    assert lot.due_on == date(2026, 5, 1)
    assert (delivery.shipped, delivery.closed_at) == (20, None)


def test_rows_with_nothing_in_them_are_no_part_of_the_shipment(session, lot, delivery):
    other = make_finished_lot(session, delivery.line.revision)
    shipment = make_shipment(session, (other, delivery, 0), (lot, delivery, 50))
    assert [(line.lot_id, line.pieces) for line in shipment.lines] == [(lot.id, 50)]


def test_the_same_form_sent_twice_ships_once(session, lot, delivery):
    circumstances = act()
    first = ship(session, circumstances, new_shipment((lot, delivery, 20)))
    again = ship(session, circumstances, new_shipment((lot, delivery, 20)))
    assert first.id == again.id
    assert delivery.shipped == 20


def test_the_same_form_with_other_content_is_refused_and_says_what_was_kept(session, lot, delivery):
    circumstances = act()
    ship(session, circumstances, new_shipment((lot, delivery, 20)))
    with pytest.raises(KeyReusedError, match="already recorded: shipment 1 of 20 pieces"):
        ship(session, circumstances, new_shipment((lot, delivery, 21)))
    session.expire_all()
    assert delivery.shipped == 20


def test_goods_that_left_on_an_earlier_day_are_booked_at_its_cut_off(session, lot, delivery):
    make_shipment(session, (lot, delivery, 50), shipped_on=date(2026, 1, 6))
    posting = session.scalars(sa.select(Posting).where(Posting.verb == Verb.SHIP)).one()
    assert posting.happened_at == datetime(2026, 1, 6, 21, tzinfo=UTC)  # 15:00 in Chicago
    assert posting.recorded_at == MORNING


def test_over_needs_the_customers_word(session, revision):
    delivery = make_delivery(revision)
    lot = make_finished_lot(session, revision, (delivery, 50), pieces=53)
    said = refusals(session, new_shipment((lot, delivery, 53)))
    number = delivery.line.order.their_number
    assert said == {"over_agreed": f"3 over the 50 that order {number} asks for: ask the customer first."}
    make_shipment(session, (lot, delivery, 53), over_agreed=True)
    assert (delivery.shipped, delivery.closed_at) == (53, MORNING)
    assert shares(session, lot) == [(delivery.id, 53, 53)]


def test_two_lots_together_can_be_over_too(session, revision, delivery, lot):
    spare = make_finished_lot(session, revision)
    said = refusals(session, new_shipment((lot, delivery, 40), (spare, delivery, 11)))
    assert said["over_agreed"].startswith("1 over the 50 ")


def test_nothing_is_refused(session, lot, delivery):
    assert refusals(session, new_shipment((lot, delivery, 0))) == {
        "lines": "Enter how many pieces leave of at least one lot."
    }


def test_more_than_is_in_stock_is_refused_over_all_rows_of_the_lot(session, revision):
    first = make_delivery(revision, quantity=30)
    second = make_delivery(revision, quantity=30, customer=first.line.order.customer)
    lot = make_finished_lot(session, revision, (first, 25), (second, 25))
    said = refusals(session, new_shipment((lot, first, 30), (lot, second, 30)))
    assert list(said) == ["lines-1-pieces"]
    assert said["lines-1-pieces"].startswith("60 pieces are more than can be there: stock of L")


def test_a_lot_on_hold_is_refused_with_its_reason(session, lot, delivery):
    hold_lot(session, act(), lot.id, "porosity")
    said = refusals(session, new_shipment((lot, delivery, 10)))
    assert "is on hold: porosity" in said["lines-0-pieces"]


def test_another_revision_is_refused(session, lot):
    other = make_delivery(make_revision())
    made, wanted = lot.revision.part.number, other.line.revision.part.number
    said = refusals(session, new_shipment((lot, other, 10)))
    assert f"is {made} A and the delivery asks for {wanted} A" in said["lines-0-pieces"]


def test_another_customers_delivery_is_refused(session, lot, delivery):
    said = refusals(session, new_shipment((lot, delivery, 10), customer_id=CustomerFactory().id))
    assert f"is from {delivery.line.order.customer.name}." in said["lines-0-pieces"]


def test_a_closed_delivery_is_refused(session, lot, delivery):
    delivery.closed_at = MORNING
    session.commit()
    said = refusals(session, new_shipment((lot, delivery, 10)))
    assert "is closed. Leave it empty, or open it again first." in said["lines-0-pieces"]
    delivery.closed_at = None
    session.commit()


def test_the_same_lot_twice_for_a_delivery_is_refused(session, lot, delivery):
    said = refusals(session, new_shipment((lot, delivery, 10), (lot, delivery, 5)))
    assert said == {"lines-1-pieces": "This lot is there twice for this delivery. Enter all its pieces in one row."}


def test_tomorrow_and_the_day_before_the_order_are_refused(session, lot, delivery):
    said = refusals(session, new_shipment((lot, delivery, 10), shipped_on=date(2026, 1, 8)))
    assert said == {"shipped_on": "It cannot have left after today, Wed 7 Jan 2026."}
    said = refusals(session, new_shipment((lot, delivery, 10), shipped_on=date(2026, 1, 4)))
    assert said["shipped_on"].endswith("came in, Mon 5 Jan 2026. Correct the date.")


def test_rows_that_do_not_exist_are_refused(session, lot, delivery):
    new = NewShipment(delivery.line.order.customer_id, TODAY, (NewShipmentLine(lot.id, 9_999, 1),))
    with pytest.raises(RowGoneError):
        ship(session, act(), new)
