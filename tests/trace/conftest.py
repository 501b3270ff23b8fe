"""A heat that became two lots; one fitted into an assembly, shipped, and some of it came back."""

from dataclasses import dataclass

import pytest

from app.lots.models import Lot, LotOperation
from app.lots.services import (
    ComponentSource,
    Inspection,
    SignOff,
    sign_off,
    split_lot,
    use_component,
)
from app.material.models import Receipt
from app.parts.models import Component
from app.quality.models import Gauge
from app.shipping.models import GoodsReturn, Shipment
from app.shipping.services import NewReturn, add_return
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.material import ReceiptFactory
from tests.factories.people import PersonFactory
from tests.factories.quality import CharacteristicFactory, GaugeFactory
from tests.factories.shipping import TODAY, make_delivery, make_shipment
from tests.factories.stations import ShopFactory
from tests.quality.measured import AtStation


@dataclass
class Chain:
    """What hangs together: receipt -> pin -> (split) child -> assembly -> shipment -> came back."""

    receipt: Receipt
    pin: Lot
    child: Lot
    assembly: Lot
    shipment: Shipment
    returned: GoodsReturn
    stranger: Lot
    gauge: Gauge
    person_id: int


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def chain(session) -> Chain:
    """Return the chain, and a stranger: a lot of the same part from another heat."""
    routing = make_routing(operations=2)
    gauge, person = GaugeFactory(), PersonFactory()
    CharacteristicFactory(revision=routing.revision, number=1, gauge_kind_id=gauge.kind_id)
    receipt = ReceiptFactory(revision=routing.revision, heat="QX-7781", pieces=4)
    pin = make_lot(session, pieces=4, routing=routing)  # takes what is at hand
    ReceiptFactory(revision=routing.revision, heat="ZZ-1", pieces=4)
    stranger = make_lot(session, pieces=4, routing=routing)
    _measure(session, pin, gauge.id, person.id)
    child = split_lot(session, act(), pin.operations[1].id, 2)
    finish(session, child.operations[1], 2)
    assembly = _assembly(session, child)
    shipment = make_shipment(session, (assembly, make_delivery(assembly.revision, quantity=2), 2))
    first = assembly.operations[0]
    looked_at = Inspection(first.kind_id, first.work_center_id, 60)
    back = NewReturn(shipment.lines[0].id, 1, came_on=TODAY, reason="bore too small", inspection=looked_at)
    returned = add_return(session, act(), back)
    session.commit()
    return Chain(receipt, pin, child, assembly, shipment, returned, stranger, gauge, person.id)


def _measure(session, lot: Lot, gauge_id: int, person_id: int) -> None:
    station = AtStation(session, lot, person_id).begin()
    for last in range(1, 5):
        station.read(f"0.500{last}", gauge_id=gauge_id, piece=last)
    sign_off(session, station.act(), [SignOff(station.operation.id, 4)])


def finish(session, operation: LotOperation, pieces: int) -> None:
    """Sign pieces off at the station of an operation."""
    sign_off(session, act(station_id=station_of(operation).id), [SignOff(operation.id, pieces)])


def _assembly(session, child: Lot) -> Lot:
    routing = make_routing(operations=1)
    fitted = Component(
        revision_id=routing.revision_id, part_id=child.revision.part_id, operation_number=10, per_piece=1
    )
    session.add(fitted)
    session.commit()
    lot = make_lot(session, pieces=2, routing=routing)
    [operation] = lot.operations
    use_component(session, act(), operation.id, ComponentSource(lot_id=child.id), 2)
    finish(session, operation, 2)
    return lot
