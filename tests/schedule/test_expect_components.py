"""When the components that an operation takes can be used; days are of January 2026 in Chicago."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from app.lots import services as lots
from app.lots.models import LotDelivery
from app.lots.queries import lot_name
from app.lots.services import ComponentSource, SignOff, begin, sign_off
from app.material import services as material
from app.schedule.models import Outlook
from app.schedule.queries import (
    Asked,
    Mend,
    chain_words,
    forecast_report,
    mended_at,
    promise_for,
    read_snapshot,
    why,
)
from app.schedule.services import pin_lot
from tests.factories.lots import act, make_lot, station_of
from tests.factories.material import MaterialOrderFactory, MaterialOrderLineFactory, ReceiptFactory
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single
from tests.statements import counted

NOON = 18
"""Noon in Chicago, in UTC."""


@pytest.fixture
def pin(session):
    """A dowel pin, bought."""
    return PartFactory(number="PIN-6", name="Dowel pin")


@pytest.fixture
def routing(session, pin):
    """A routing of two steps of a minute a piece; the second takes two pins a piece."""
    made = routing_of(single(1), single(1))
    made.revision.components = [ComponentFactory.build(part=pin, operation_number=20, per_piece=2)]
    session.commit()
    return made


@pytest.fixture
def lot(session, routing):
    return make_lot(session, pieces=50, routing=routing)


def order(part, units=100, expected=date(2026, 1, 14), **more):
    return MaterialOrderLineFactory(revision=None, part_id=part.id, units=units, expected_on=expected, **more)


def come_in(part, pieces):
    return ReceiptFactory(revision=None, part_id=part.id, pieces=pieces)


def fitted_from(session, lot):
    """Return when the second step begins."""
    return min(run.start_at for run in runs_of(session, lot) if run.operation.number == 20)


def test_components_at_hand_hold_nothing_back(session, lot, pin, now):
    come_in(pin, 100)
    plan_now(session, now)
    assert fitted_from(session, lot) == now + timedelta(minutes=50)
    assert why(forecast_of(session, lot)) == []


def test_a_component_on_order_holds_its_operation_back_and_no_earlier_one(session, lot, pin, now):
    come_in(pin, 99)
    order(pin)
    plan_now(session, now)
    assert fitted_from(session, lot) == datetime(2026, 1, 14, NOON, tzinfo=UTC)
    assert runs_of(session, lot)[0].start_at == now
    found = forecast_of(session, lot)
    assert not found.is_guess
    sentence = "Waiting for component PIN-6 at operation 20: expected Wed 14 Jan"
    assert why(found)[0].startswith(sentence)
    assert sentence in [said.sentence for said in chain_words(found.waits, found.finish_at)]
    assert sum(wait["seconds"] for wait in found.waits) == (found.finish_at - now).total_seconds()


def test_a_promise_waits_for_what_the_open_lots_leave_of_a_component(session, as_owner, lot, routing, pin, now):
    order(pin, 1000)
    plan_now(session, now)
    found = promise_for(session, Asked(routing.revision_id, 10), now)
    assert found.component.part == "PIN-6"
    assert found.finish_at > datetime(2026, 1, 14, NOON, tzinfo=UTC)
    asked = {"revision_id": routing.revision_id, "quantity": 10}
    assert "it waits for component PIN-6" in as_owner.get("/schedule/promise", query_string=asked).text
    short = promise_for(session, Asked(routing.revision_id, 1000), now)
    assert "waiting for component PIN-6" in short.problem


def test_an_overdue_component_is_guessed_as_blanks_are(session, lot, pin, now):
    order(pin, expected=date(2026, 1, 5))
    plan_now(session, now)
    assert fitted_from(session, lot) == datetime(2026, 1, 13, NOON, tzinfo=UTC)  # Thursday 8th and five days
    found = forecast_of(session, lot)
    assert found.is_guess
    sentence = "Waiting for component PIN-6 at operation 20: it was expected Mon 5 Jan; when it comes is a guess"
    assert why(found)[0].startswith(sentence)


def test_with_nothing_ordered_the_lot_cannot_be_planned_and_says_why(session, lot, now, as_owner):
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert (found.outlook, found.finish_at) == (Outlook.NO_COMPONENTS, None)
    said = "Waiting for component PIN-6 at operation 20: nothing ordered"
    assert why(found) == [said]
    assert [run.operation.number for run in runs_of(session, lot)] == [10]
    for page in (f"/schedule/lots/{lot.id}", f"/schedule/lots/{lot.id}/outlook", "/schedule/lots"):
        assert said in as_owner.get(page).text, page
    assert "No components" in as_owner.get("/schedule/lots").text
    assert "Where the time from now to its finish goes" not in as_owner.get(f"/schedule/lots/{lot.id}").text


def test_the_terminal_and_the_review_say_it_too(app, session, lot, pin, now, as_owner):
    lot.due_on = date(2026, 1, 6)
    session.commit()
    plan_now(session, now)
    said = "Waiting for component PIN-6 at operation 20: nothing ordered"
    with app.app_context():
        [line] = forecast_report(session, now)
    assert (line["reasons"], line["late"], line["expected_finish"]) == ([said], True, None)
    assert said in as_owner.get("/review").text


def test_the_lead_time_of_a_component_that_nobody_ordered_counts_from_today(session, lot, pin, now):
    RevisionFactory(part=pin, blank_lead_days=10)
    plan_now(session, now)
    assert fitted_from(session, lot) == datetime(2026, 1, 19, NOON, tzinfo=UTC)  # ten days end on Saturday the 17th
    found = forecast_of(session, lot)
    assert found.is_guess
    sentence = "Waiting for component PIN-6 at operation 20: nothing ordered; its lead time is counted from today"
    assert why(found)[0].startswith(sentence)


def test_who_is_first_in_rank_gets_what_comes_first(session, routing, lot, pin, now):
    second = make_lot(session, pieces=50, routing=routing)
    come_in(pin, 100)
    order(pin)
    plan_now(session, now)
    assert fitted_from(session, lot) < fitted_from(session, second) == datetime(2026, 1, 14, NOON, tzinfo=UTC)
    pin_lot(session, second.id, None, now)
    plan_now(session, now)
    assert fitted_from(session, second) < fitted_from(session, lot) == datetime(2026, 1, 14, NOON, tzinfo=UTC)


def test_what_was_used_and_what_lies_at_the_station_is_not_asked_for_again(session, routing, lot, pin, now):
    receipt: Any = come_in(pin, 60)
    first, fitting = lot.operations
    begin(session, act(station_id=station_of(first).id), [first.id])
    sign_off(session, act(station_id=station_of(first).id), [SignOff(first.id, good=50)])
    lots.use_component(session, act(), fitting.id, ComponentSource(receipt_id=receipt.id), 40)
    order(pin, units=60)
    plan_now(session, now)
    assert fitted_from(session, lot) == datetime(2026, 1, 14, NOON, tzinfo=UTC)  # 20 at hand, 40 to come
    material.receive(session, material.NewReceipt(40, date(2026, 1, 7), part_id=pin.id), None, now)
    plan_now(session, now)
    assert fitted_from(session, lot) == now
    begin(session, act(station_id=station_of(fitting).id), [fitting.id])
    second = make_lot(session, pieces=20, routing=routing)
    plan_now(session, now)
    assert forecast_of(session, lot).outlook is Outlook.EXPECTED
    assert fitted_from(session, second) == datetime(
        2026, 1, 14, NOON, tzinfo=UTC
    )  # what is at hand lies at the station


def test_finished_pieces_of_our_own_lots_are_at_hand_but_for_those_that_are_owed(session, lot, pin, now):
    bushes = routing_of(single(1), part=pin)
    own = make_lot(session, pieces=120, routing=bushes)
    [turned] = own.operations
    begin(session, act(station_id=station_of(turned).id), [turned.id])
    sign_off(session, act(station_id=station_of(turned).id), [SignOff(turned.id, good=120)])
    plan_now(session, now)
    assert fitted_from(session, lot) == now + timedelta(minutes=50)
    delivery = DeliveryFactory(line=OrderLineFactory(revision=bushes.revision), quantity=30)
    session.add(LotDelivery(lot_id=own.id, delivery_id=delivery.id, quantity=30, shipped=0))
    session.commit()
    plan_now(session, now)
    assert why(forecast_of(session, lot)) == ["Waiting for component PIN-6 at operation 20: no lot of it is released"]


def test_a_component_that_a_lot_makes_comes_when_that_lot_is_done(session, lot, pin, now):
    own = make_lot(session, pieces=100, routing=routing_of(single(6), part=pin))
    plan_now(session, now)
    name = lot_name(own)
    assert why(forecast_of(session, lot)) == [
        f"Waiting for component PIN-6 at operation 20: nobody knows when lot {name} will be done"
    ]
    assert mended_at(forecast_of(session, lot)) is Mend.LOT  # it is no matter of ordering
    finish = forecast_of(session, own).finish_at
    plan_now(session, now + timedelta(minutes=1))
    assert fitted_from(session, lot) == finish
    assert why(forecast_of(session, lot))[0].startswith(
        f"Waiting for component PIN-6 at operation 20: lot {name} makes it"
    )


def test_the_statements_of_a_snapshot_do_not_grow_with_lots_that_take_components(session, engine, routing, pin, now):
    def statements():
        session.rollback()
        with counted(engine) as sent:
            read_snapshot(session, now)
        return len(sent)

    make_lot(session, pieces=5, routing=routing)
    order(pin)
    make_lot(session, pieces=5, routing=routing_of(single(6), part=pin))
    before = statements()
    for _ in range(3):
        make_lot(session, pieces=5, routing=routing)
        order(pin, order=MaterialOrderFactory())
    assert statements() == before
