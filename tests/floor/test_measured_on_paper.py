"""A traveler's rows at an operation that is measured: readings and an inspector's word are entered with them."""

import pytest
import sqlalchemy as sa

from app.quality.models import AllChecked, Reading, Waiver
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.people import PersonFactory
from tests.factories.quality import CharacteristicFactory, GaugeFactory
from tests.factories.stations import ShopFactory
from tests.floor.conftest import words
from tests.floor.paper_sheets import RELEASED, beside, moment, of_lot, row


@pytest.fixture
def lot(session):
    ShopFactory()
    PersonFactory(name="Ina Brook", initials="IB")
    routing = make_routing()
    gauge = GaugeFactory(name="M-07")
    CharacteristicFactory(
        revision=routing.revision, number=1, recording_kind="first and last", gauge_kind_id=gauge.kind_id
    )
    return make_lot(session, pieces=50, routing=routing, when=RELEASED)


def first_row(lot, **facts):
    first = lot.operations[0]
    return row(first, begun="07:00", done="09:30", good=50, station=station_of(first).id, **facts)


def test_readings_are_kept_as_taken_then_and_let_the_row_pass(as_setup_lead, session, lot):
    page = words(as_setup_lead.get(f"/floor/paper/lots/{lot.id}").text)
    assert "1 Bore, 0.4995 to 0.5005 in, recorded: first and last piece" in page
    sheet = first_row(lot, readings="1 1 0.5001 M-07 07:10\n\n1 50 0.5002 m-07", all_checked="y")
    assert of_lot(as_setup_lead, lot, sheet).status_code == 303
    session.rollback()
    taken = session.scalars(sa.select(Reading).order_by(Reading.piece)).all()
    assert [(each.piece, each.typed, each.happened_at, each.gauge.name) for each in taken] == [
        (1, "0.5001", moment(6, "07:10"), "M-07"),
        (50, "0.5002", moment(6, "09:30"), "M-07"),
    ]
    assert taken[0].person.name == "Ina Brook"
    assert (session.scalars(sa.select(AllChecked.pieces)).all(), lot.operations[0].passed) == ([50], 50)


def test_an_inspector_who_signed_the_paper_lets_it_go_on_with_a_reason(as_setup_lead, session, lot):
    PersonFactory(name="Ines Ruiz", initials="IR", roles=["inspector"])
    sheet = first_row(lot, inspector="ir", why="gauge was away")
    assert of_lot(as_setup_lead, lot, sheet).status_code == 303
    session.rollback()
    [waiver] = session.scalars(sa.select(Waiver))
    assert (waiver.person.name, waiver.reason, waiver.pieces) == ("Ines Ruiz", "gauge was away", 50)


@pytest.mark.parametrize(
    ("facts", "field", "sentence"),
    [
        ({}, "good", "A reading of 1 Bore is missing: piece 1, 50."),
        ({"readings": "1 1"}, "readings", "cannot be read"),
        ({"readings": "2 1 0.5001"}, "readings", "cannot be read"),
        ({"readings": "1 99 0.5001 M-07"}, "readings", "numbered from 1 to 50"),
        ({"readings": "1 1 0.5001"}, "readings", "Choose the gauge"),
        ({"readings": "1 1 5.001 M-07"}, "readings", "Write ! behind it if it is right"),
        ({"readings": "1 1 0.5012 M-07"}, "readings", "0.0007 in above the upper limit. Leave this row out"),
        ({"inspector": "ib", "why": "no time"}, "why", "is no inspector"),
        ({"inspector": "zz", "why": "no time"}, "inspector", "ZZ"),
    ],
)
def test_what_is_missing_is_asked_for_calmly_and_nothing_is_kept(as_setup_lead, session, lot, facts, field, sentence):
    answer = of_lot(as_setup_lead, lot, first_row(lot, **facts))
    assert answer.status_code == 422
    assert sentence.lower() in words(beside(answer.text, f"rows-0-{field}")).lower()
    session.rollback()
    assert (session.scalars(sa.select(Reading)).all(), lot.operations[0].passed) == ([], 0)
