"""Recounting what was shipped, and any order of shipping and taking back."""

import re
from datetime import date

import pytest
import sqlalchemy as sa
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.cli.data import verify
from app.lots.models import LotDelivery
from app.shared.errors import RefusedError
from app.shipping.queries.verify import differences
from app.shipping.services import ship, take_back_shipment
from tests.factories.lots import act
from tests.factories.shipping import make_delivery, make_finished_lot, make_revision, make_shipment, new_shipment


def test_shipments_agree_with_what_was_counted(session, lot, delivery):
    make_shipment(session, (lot, delivery, 20))
    take_back_shipment(session, act(), make_shipment(session, (lot, delivery, 10)).id, "wrong box")
    assert list(differences(session)) == []


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        ("UPDATE delivery SET shipped = 19", "order .*, delivery due 2026-01-09"),
        ("UPDATE lot_delivery SET shipped = 19", "L.* for delivery [0-9]+"),
        ("UPDATE lot SET shipped = 19", "L[0-9A-Z]+"),
    ],
)
def test_each_count_that_differs_is_found_and_named(session, lot, delivery, spoil, where):
    make_shipment(session, (lot, delivery, 20))
    session.execute(sa.text(spoil))
    [found] = differences(session)
    assert re.fullmatch(f"{where}: shipped is 19, the ledger says 20", str(found))
    session.rollback()


def test_the_command_lists_them(session, lot, delivery, database_url, monkeypatch):
    monkeypatch.setenv("LOTWRIGHT_DATABASE_URL", database_url)
    make_shipment(session, (lot, delivery, 20))
    good = CliRunner().invoke(verify)
    assert (good.exit_code, good.output) == (0, "Every count agrees with the ledger.\n")
    delivery.shipped = 19
    session.commit()
    bad = CliRunner().invoke(verify)
    assert bad.exit_code == 1
    assert "shipped is 19, the ledger says 20" in bad.output
    delivery.shipped = 20
    session.commit()


STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("ship"), st.integers(0, 2), st.integers(0, 1), st.integers(0, 40), st.booleans()),
        st.tuples(st.just("back"), st.integers(0, 5)),
    ),
    max_size=8,
)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(STEPS)
def test_any_order_of_shipping_and_taking_back_adds_up_and_all_taken_back_leaves_nothing(session, steps):
    revision = make_revision()
    first = make_delivery(revision, quantity=30)
    customer = first.line.order.customer
    deliveries = [first, make_delivery(revision, quantity=20, due=date(2026, 3, 6), customer=customer)]
    lots = [
        make_finished_lot(session, revision, (deliveries[0], 30), (deliveries[1], 10), pieces=40),
        make_finished_lot(session, revision, (deliveries[1], 10), pieces=25),
        make_finished_lot(session, revision, pieces=10),
    ]
    planned = shares(session, lots)
    shipments = []
    for step in steps:
        if step[0] == "ship":
            _, lot, delivery, pieces, agreed = step
            new = new_shipment((lots[lot], deliveries[delivery], pieces), over_agreed=agreed)
            try:
                shipments.append(ship(session, act(), new))
            except RefusedError:
                session.rollback()
        elif step[1] < len(shipments):
            take_back_shipment(session, act(), shipments[step[1]].id, "wrong box")
        assert list(differences(session)) == []
        for each in deliveries:
            assert (each.closed_at is not None) == (each.shipped >= each.quantity)
    for shipment in shipments:
        take_back_shipment(session, act(), shipment.id, "all of it")
    assert shares(session, lots) == planned
    assert [lot.in_stock for lot in lots] == [40, 25, 10]
    assert lots[0].due_on == deliveries[0].leave_day


def shares(session, lots):
    session.rollback()
    chosen = sa.select(LotDelivery).where(LotDelivery.lot_id.in_([lot.id for lot in lots]))
    rows = session.scalars(chosen.order_by(LotDelivery.lot_id, LotDelivery.delivery_id))
    return [(row.lot_id, row.delivery_id, row.quantity, row.shipped) for row in rows]
