"""What deliveries get: lots made for them, stock that is free, what is missing."""

from datetime import date

import pytest

from app.lots.errors import NotFreeError, NotMeantError, OtherRevisionError
from app.lots.models import Lot
from app.lots.queries import coming_short, covered_pieces, covers_of_order, free_stock
from app.lots.queries.verify import differences
from app.lots.services import Share, SignOff, free_again, hold_lot, mean_for, scrap_pieces, sign_off
from tests.factories.lots import act, make_lot, make_ordered_lot, make_routing
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def finish(session, lot: Lot, pieces: int) -> None:
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, pieces)])
    session.commit()


def stock_and_delivery(session, *, stock=30, ordered=20):
    routing = make_routing()
    lot = make_lot(session, pieces=stock, routing=routing)
    finish(session, lot, stock)
    delivery = DeliveryFactory(line=OrderLineFactory(revision=routing.revision), quantity=ordered)
    return lot, delivery


def test_finished_pieces_that_nothing_is_meant_for_are_free(session):
    lot, delivery = stock_and_delivery(session)
    assert [(free.lot.id, free.pieces) for free in free_stock(session, [lot.revision_id])[lot.revision_id]] == [
        (lot.id, 30)
    ]
    mean_for(session, act(), lot.id, delivery.id, 20)
    assert free_stock(session, [lot.revision_id])[lot.revision_id][0].pieces == 10
    assert covered_pieces(session, [delivery]) == {delivery.id: 20}
    assert lot.due_on == delivery.leave_day


def test_pieces_on_hold_are_not_offered(session):
    lot, _delivery = stock_and_delivery(session)
    hold_lot(session, act(), lot.id, "hardness in doubt")
    assert free_stock(session, [lot.revision_id]) == {}


def test_more_than_is_free_is_refused(session):
    lot, delivery = stock_and_delivery(session, ordered=50)
    with pytest.raises(NotFreeError, match="30 pieces"):
        mean_for(session, act(), lot.id, delivery.id, 31)


def test_pieces_of_another_revision_are_refused(session):
    lot, _ = stock_and_delivery(session)
    _, other = stock_and_delivery(session)
    with pytest.raises(OtherRevisionError):
        mean_for(session, act(), lot.id, other.id, 1)


def test_the_same_form_sent_twice_counts_once(session):
    lot, delivery = stock_and_delivery(session)
    once = act()
    mean_for(session, once, lot.id, delivery.id, 5)
    mean_for(session, once, lot.id, delivery.id, 5)
    assert covered_pieces(session, [delivery]) == {delivery.id: 5}


def test_pieces_are_free_again_when_they_are_meant_for_nobody(session):
    lot = make_ordered_lot(session, pieces=20)
    [share] = lot.deliveries
    free_again(session, act(), lot.id, share.delivery_id)
    assert lot.deliveries == []
    assert lot.due_on is None
    with pytest.raises(NotMeantError):
        free_again(session, act(), lot.id, share.delivery_id)
    assert list(differences(session)) == []


def test_later_deliveries_of_a_lot_come_short_first(session):
    routing = make_routing()
    line = OrderLineFactory(revision=routing.revision)
    soon = DeliveryFactory(line=line, quantity=10, due=date(2026, 2, 2))
    later = DeliveryFactory(line=line, quantity=10, due=date(2026, 3, 2))
    lot = make_lot(session, pieces=20, routing=routing, shares=(Share(later.id, 10), Share(soon.id, 10)))
    scrap_pieces(session, act(), lot.operations[0].id, 4, "crack")
    assert [(short.delivery.id, short.missing) for short in coming_short(session)] == [(later.id, 4)]
    assert covered_pieces(session, [soon, later]) == {soon.id: 10, later.id: 6}


def test_a_delivery_no_lot_was_made_for_is_missing_and_not_short(session):
    delivery = DeliveryFactory(line=OrderLineFactory(revision=make_routing().revision), quantity=10)
    [cover] = covers_of_order(session, delivery.line.order_id)
    assert (cover.missing, cover.comes_short) == (10, False)
    assert coming_short(session) == []


def test_the_order_page_offers_stock_first_and_one_press_takes_it(as_owner, session):
    lot, delivery = stock_and_delivery(session)
    session.commit()
    shown = as_owner.get(f"/orders/{delivery.line.order_id}/cover").text
    assert "30 finished pieces in stock are free" in shown
    field = f"use-{delivery.id}-{lot.id}-pieces"
    assert f'name="{field}"' in shown
    answer = as_owner.post(f"/lots/{lot.id}/deliveries/{delivery.id}", data={field: "20"})
    assert answer.status_code == 303
    shown = as_owner.get(f"/orders/{delivery.line.order_id}/cover").text
    assert "All pieces are there or in work" in shown


def test_too_many_are_refused_beside_the_field(as_owner, session):
    lot, delivery = stock_and_delivery(session, ordered=50)
    session.commit()
    field = f"use-{delivery.id}-{lot.id}-pieces"
    answer = as_owner.post(f"/lots/{lot.id}/deliveries/{delivery.id}", data={field: "40"})
    assert answer.status_code == 422
    assert "30 pieces of lot" in answer.text
    assert 'value="40"' in answer.text
    session.rollback()
    assert covered_pieces(session, [delivery]) == {delivery.id: 0}


def test_statements_do_not_grow_with_deliveries_or_lots(as_owner, session, engine):
    routing = make_routing()
    line = OrderLineFactory(revision=routing.revision)

    def statements() -> int:
        session.commit()
        with counted(engine) as sent:
            as_owner.get(f"/orders/{line.order_id}/cover")
        return len(sent)

    def add() -> None:
        delivery = DeliveryFactory(line=line, quantity=10)
        make_lot(session, pieces=9, routing=routing, shares=(Share(delivery.id, 10),))
        finish(session, make_lot(session, pieces=4, routing=routing), 4)

    add()
    few = statements()
    for _ in range(4):
        add()
    assert statements() == few
