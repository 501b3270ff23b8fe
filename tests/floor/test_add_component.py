"""Components that go into a lot at a station: scanned as a lot of ours or as a receipt."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code
from app.lots.models import ComponentUse
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import SignOff, sign_off
from app.material.models import Issue, Origin
from app.parts.models import Component
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.factories.parts import PartFactory
from tests.floor.conftest import refusal, words


def finished(session, pieces):
    """Return a lot of one operation whose pieces are in stock."""
    lot = make_lot(session, pieces=pieces, routing=make_routing(operations=1))
    [operation] = lot.operations
    sign_off(session, act(station_id=station_of(operation).id), [SignOff(operation.id, pieces)])
    return lot


@pytest.fixture
def bearing(session):
    return PartFactory(number="BRG-6204", name="Bearing")


@pytest.fixture
def receipt(session, bearing):
    return ReceiptFactory(revision=None, part=bearing, pieces=30, origin=Origin.FOUND, heat="")


@pytest.fixture
def sleeve(session, shop):
    """Return a finished lot of 25 sleeves."""
    return finished(session, 25)


@pytest.fixture
def assembly(session, shop, bearing, sleeve, tablet_at, sam):
    """Return a tablet and the operation open at it, which takes a bearing and two sleeves for each of 10 pieces."""
    routing = make_routing(operations=2)
    session.add_all(
        [
            Component(revision_id=routing.revision_id, part_id=bearing.id, operation_number=10, per_piece=1),
            Component(
                revision_id=routing.revision_id, part_id=sleeve.revision.part_id, operation_number=10, per_piece=2
            ),
        ]
    )
    session.commit()
    lot = make_lot(session, pieces=10, routing=routing)
    operation = lot.operations[0]
    tablet = tablet_at(station_of(operation))
    tablet.sign_on(sam)
    tablet.scan(operation_code(operation))
    return tablet, operation


def receipt_code(receipt):
    return format_code(CodeKind.RECEIPT, receipt.number)


def used(session):
    return session.execute(sa.select(ComponentUse.part_id, ComponentUse.pieces).order_by(ComponentUse.id)).all()


def test_the_station_shows_what_goes_into_it(assembly):
    tablet, _ = assembly
    page = words(tablet.get().text)
    assert "BRG-6204 Bearing: 0 of 10 recorded, 10 more needed" in page
    assert "0 of 20 recorded, 20 more needed" in page


def test_a_receipt_scanned_while_it_is_open_asks_how_many_and_records_them(session, assembly, receipt, bearing):
    tablet, operation = assembly
    response = tablet.scan(receipt_code(receipt))
    assert response.location == f"{tablet.home}{tablet.at(operation, '/components')}?source={receipt_code(receipt)}"
    page = tablet.client.get(response.location)
    assert f"From {receipt_code(receipt)}: BRG-6204, 30 at hand" in words(page.text)
    assert 'value="10"' in page.text
    tablet.post(tablet.at(operation, "/components"), source=receipt_code(receipt), pieces=10)
    assert used(session) == [(bearing.id, 10)]
    assert session.scalars(sa.select(Issue.pieces)).one() == 10
    assert "10 of 10 recorded" in words(tablet.get().text)


def test_a_component_lot_is_taken_from_its_stock(session, assembly, sleeve):
    tablet, operation = assembly
    response = tablet.scan(lot_name(sleeve))
    assert response.location.endswith(f"/components?source={lot_name(sleeve)}")
    tablet.post(tablet.at(operation, "/components"), source=lot_name(sleeve), pieces=20)
    assert whereabouts(sleeve) == {"in_stock": 5, "in_other_lots": 20}


def test_sign_off_without_components_is_refused_and_leads_to_recording_them(assembly, receipt, sleeve):
    tablet, operation = assembly
    response = tablet.done(operation)
    assert "10 more of component BRG-6204 are needed." in refusal(response)
    assert f'href="{tablet.home}{tablet.at(operation, "/components")}"' in response.text
    tablet.post(tablet.at(operation, "/components"), source=receipt_code(receipt), pieces=10)
    tablet.post(tablet.at(operation, "/components"), source=lot_name(sleeve), pieces=20)
    assert tablet.done(operation).location == tablet.home
    assert whereabouts(operation.lot) == {"20 waiting": 10}


def test_what_is_at_hand_can_be_chosen_without_a_scanner(assembly, receipt, sleeve):
    tablet, operation = assembly
    page = words(tablet.get(tablet.at(operation, "/components")).text)
    assert f"{receipt_code(receipt)}: BRG-6204, 30" in page
    assert f"{lot_name(sleeve)}: {sleeve.revision.part.number}, 25" in page


def test_another_receipt_than_its_components_is_refused(session, assembly):
    tablet, operation = assembly
    blanks = ReceiptFactory()
    sentence = refusal(tablet.scan(receipt_code(blanks)))
    assert sentence == f"{receipt_code(blanks)} is not a component of lot {lot_name(operation.lot)} op 10 Step 1."


@pytest.mark.parametrize(
    ("pieces", "sentence"), [(26, "26 pieces are more than can be there"), ("", "Type how many pieces.")]
)
def test_more_than_the_lot_has_or_no_number_is_refused(session, assembly, sleeve, pieces, sentence):
    tablet, operation = assembly
    response = tablet.post(tablet.at(operation, "/components"), source=lot_name(sleeve), pieces=pieces)
    assert response.status_code == 422
    assert sentence in words(response.text)
    assert used(session) == []


def test_more_than_a_receipt_has_is_refused(session, assembly, receipt):
    tablet, operation = assembly
    response = tablet.post(tablet.at(operation, "/components"), source=receipt_code(receipt), pieces=31)
    assert response.status_code == 422
    assert used(session) == []


@pytest.mark.parametrize("source", ["", "nonsense", "S001W"])
def test_a_source_that_is_none_is_refused(session, assembly, source):
    tablet, operation = assembly
    assert refusal(tablet.post(tablet.at(operation, "/components"), source=source, pieces=5))
    assert used(session) == []


def test_another_code_scanned_into_the_form_changes_the_source(assembly, receipt, sleeve):
    tablet, operation = assembly
    response = tablet.post(
        tablet.at(operation, "/components"), source=receipt_code(receipt), pieces=5, code=lot_name(sleeve)
    )
    assert response.location.endswith(f"?source={lot_name(sleeve)}")


def test_a_use_can_be_undone_and_gives_everything_back(session, assembly, receipt, sleeve, bearing):
    tablet, operation = assembly
    tablet.post(tablet.at(operation, "/components"), source=receipt_code(receipt), pieces=10)
    posting = session.scalars(sa.select(ComponentUse.posting_id)).one()
    assert tablet.post("/undos", posting=posting).status_code == 303
    assert used(session) == [(bearing.id, 10), (bearing.id, -10)]
    assert receipt.issued == 0
