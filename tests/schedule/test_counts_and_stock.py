"""What a recount and stock that is meant for an order do to the forecast."""

from datetime import date, timedelta

from app.lots.services import Count, free_again, mean_for, recount
from tests.factories.lots import act, make_lot
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, single


def counted(session, lot, pieces):
    first = lot.operations[0]
    recount(session, act(), lot.id, Count(first.id, pieces, first.present, "nobody knows"))
    session.commit()


def test_missing_pieces_are_not_worked_on_and_found_ones_are(session, now):
    lot = make_lot(session, pieces=60, routing=routing_of(single(2, setup=30)))
    plan_now(session, now)
    before = forecast_of(session, lot).finish_at
    counted(session, lot, 45)
    plan_now(session, now)
    assert before - forecast_of(session, lot).finish_at == timedelta(minutes=30)
    counted(session, lot, 61)
    plan_now(session, now)
    assert forecast_of(session, lot).finish_at - before == timedelta(minutes=2)


def test_a_stock_lot_that_is_meant_for_a_delivery_is_due_with_it_until_it_is_free_again(session, now):
    routing = routing_of(single(2, setup=30))
    lot = make_lot(session, pieces=60, routing=routing)
    line = OrderLineFactory(revision=routing.revision)
    delivery = DeliveryFactory(line=line, quantity=20, due=date(2026, 1, 6), first_due=date(2026, 1, 6))
    plan_now(session, now)
    assert forecast_of(session, lot).due_at is None
    mean_for(session, act(), lot.id, delivery.id, 20)
    session.commit()
    plan_now(session, now)
    assert forecast_of(session, lot).late
    free_again(session, act(), lot.id, delivery.id)
    session.commit()
    plan_now(session, now)
    assert forecast_of(session, lot).due_at is None
