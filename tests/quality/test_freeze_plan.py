"""A released lot carries its own copy of the control plan."""

from decimal import Decimal

from app.lots.services import split_lot
from app.parts.models import Characteristic
from tests.factories.lots import act, make_lot, make_routing
from tests.factories.quality import CharacteristicFactory


def limits(lot):
    return [(each.number, each.limits.lower, each.limits.upper) for each in lot.operations[1].characteristics]


def planned_lot(session):
    routing = make_routing()
    CharacteristicFactory(revision=routing.revision, operation_number=20, number=3)
    CharacteristicFactory(revision=routing.revision, operation_number=20, number=4, retired=True)
    CharacteristicFactory(revision=routing.revision, operation_number=99, number=5)
    return make_lot(session, routing=routing)


def test_a_later_change_of_the_plan_does_not_reach_a_released_lot(session):
    lot = planned_lot(session)
    plan = session.query(Characteristic).filter_by(number=3).one()
    plan.upper = Decimal("0.6")
    session.commit()
    assert limits(lot) == [(3, Decimal("0.4995"), Decimal("0.5005"))]
    assert str(limits(lot)[0][2]) == "0.5005"
    assert [operation.measured for operation in lot.operations] == [False, True, False]


def test_pieces_split_off_are_measured_as_their_lot_is(session):
    lot = planned_lot(session)
    child = split_lot(session, act(), lot.operations[0].id, 5)
    assert limits(child) == limits(lot)
    assert child.operations[1].measured
